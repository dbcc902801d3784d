/** One fault in the input: its place (JSON pointer), the fault, and the limit that was broken. */
export interface FieldProblem {
  pointer: string;
  detail: string;
  limit?: string | number;
}

/** Part of an error that may cross a process boundary or be stored in the ledger. */
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

/** Fault in the caller's input; `problems` names the fields, the first 100, with their limits. */
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

/** The requested resource does not exist (or belongs to somebody else). */
export class NotFoundError extends FellmarkError {
  constructor(message: string) {
    super("not_found", message);
  }
}

/** Missing or unusable terrain; another attempt does not help. */
export class TerrainError extends FellmarkError {}

/** A temporary failure outside this process; the same call may succeed later. */
export class TransientError extends FellmarkError {}

/** Returns the record of any thrown value: an Error, a string, undefined. It always has a code. */
export function toErrorRecord(thrown: unknown): ErrorRecord {
  if (thrown instanceof InputError) return { code: thrown.code, detail: thrown.message, problems: thrown.problems };
  if (thrown instanceof FellmarkError) return { code: thrown.code, detail: thrown.message };
  if (thrown instanceof Error) return { code: "internal_error", detail: thrown.message || thrown.name };
  return { code: "internal_error", detail: `a non-error was thrown: ${String(thrown)}` };
}

/** Returns the error of a record that crossed a process boundary. */
export function toFellmarkError(record: ErrorRecord): FellmarkError {
  return record.problems ? new InputError(record.problems, record.code) : new FellmarkError(record.code, record.detail);
}
