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

/** Most problems that an InputError lists: a body can hold a hundred thousand of them. */
export const MAX_PROBLEMS = 100;

/** The caller's input is at fault; `problems` names the fields, the first 100, with their limits. */
export class InputError extends FellmarkError {
  readonly problems: FieldProblem[];
  constructor(problems: FieldProblem[], code = "invalid_input") {
    super(code, wordProblems(problems));
    this.problems = problems.slice(0, MAX_PROBLEMS);
  }
}

function wordProblems(problems: readonly FieldProblem[]): string {
  const listed = problems.slice(0, MAX_PROBLEMS).map(wordProblem).join("; ");
  const hidden = problems.length - MAX_PROBLEMS;
  return hidden > 0 ? `${listed}; and ${hidden} more` : listed;
}

/** A detail that starts with a verb has the field as its subject: "/sites/3/lat is missing". */
function wordProblem({ pointer, detail }: FieldProblem): string {
  const field = pointer || "/";
  return /^(is|are|has|must|lies|stands) /.test(detail) ? `${field} ${detail}` : `${field}: ${detail}`;
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
