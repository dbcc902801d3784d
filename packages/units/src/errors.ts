/** One fault in the input: where it is (JSON pointer), what is wrong, and the limit that was broken. */
export interface FieldProblem {
  pointer: string;
  detail: string;
  limit?: string | number;
}

/** What of an error may cross a process boundary or stand in a ledger row. */
export interface ErrorRecord {
  code: string;
  detail: string;
  problems?: FieldProblem[];
}

/** An error with a stable machine-readable code; the message is safe to show to the caller. */
export class FellmarkError extends Error {
  readonly code: string;
  constructor(code: string, message: string, options?: ErrorOptions) {
    super(message, options);
    this.name = new.target.name;
    this.code = code;
  }
}

/** The caller's input is at fault; `problems` names every field with its limit. */
export class InputError extends FellmarkError {
  readonly problems: FieldProblem[];
  constructor(problems: FieldProblem[], code = "invalid_input") {
    super(code, problems.map((problem) => `${problem.pointer || "/"}: ${problem.detail}`).join("; "));
    this.problems = problems;
  }
}

/** The thing asked for does not exist (or belongs to somebody else). */
export class NotFoundError extends FellmarkError {
  constructor(message: string) {
    super("not_found", message);
  }
}

/** Terrain is missing or unusable; trying again will not help. */
export class TerrainError extends FellmarkError {}

/** Something outside failed for now; the same call may succeed later. */
export class TransientError extends FellmarkError {}

/** The error record of anything that was thrown: an Error, a string, undefined. Never without a code. */
export function toErrorRecord(thrown: unknown): ErrorRecord {
  if (thrown instanceof InputError) return { code: thrown.code, detail: thrown.message, problems: thrown.problems };
  if (thrown instanceof FellmarkError) return { code: thrown.code, detail: thrown.message };
  if (thrown instanceof Error) return { code: "internal_error", detail: thrown.message || thrown.name };
  return { code: "internal_error", detail: `a non-error was thrown: ${String(thrown)}` };
}

/** The error of a record that came over a process boundary. */
export function fromErrorRecord(record: ErrorRecord): FellmarkError {
  return record.problems ? new InputError(record.problems, record.code) : new FellmarkError(record.code, record.detail);
}
