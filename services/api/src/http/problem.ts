import { STATUS_CODES } from "node:http";
import { FellmarkError, InputError, TerrainError, TransientError } from "@fellmark/units";
import type { ErrorRequestHandler, Request, RequestHandler, Response } from "express";
import { z } from "zod";
import { hidePaths } from "./hide-paths.ts";

const fieldProblemSchema = z.object({
  pointer: z.string().meta({ description: "JSON pointer into the request", example: "/sites/0/lat" }),
  detail: z.string().describe("What is wrong, and what the field means"),
  limit: z
    .union([z.string(), z.number()])
    .optional()
    .describe("The limit that is broken, or the values that are allowed"),
});

/** Every error body, by RFC 9457, with a stable `code` and the id under which the log knows the request. */
export const problemSchema = z
  .object({
    type: z.string().describe("Always about:blank: the code says more"),
    title: z.string().describe("Name of the HTTP status"),
    status: z.int().describe("HTTP status"),
    code: z.string().meta({ description: "Stable name of the error, snake_case", example: "invalid_input" }),
    detail: z.string().describe("The error in words"),
    requestId: z.string().describe("Id of the request in the log, as in the header X-Request-Id"),
    errors: z.array(fieldProblemSchema).optional().describe("Fields at fault, at most 100"),
  })
  .meta({ id: "Problem" });

export type Problem = z.output<typeof problemSchema>;

/** The one table from error code to HTTP status; a code that is missing here goes by the class of its error. */
const statusByCode: Readonly<Record<string, number>> = {
  bad_request: 400,
  malformed_json: 400,
  token_missing: 401,
  token_unknown: 401,
  token_expired: 401,
  origin_refused: 403,
  not_found: 404,
  method_not_allowed: 405,
  body_too_slow: 408,
  conflict: 409,
  expired: 410,
  layer_gone: 410,
  precondition_failed: 412,
  too_large: 413,
  unsupported_media_type: 415,
  range_not_satisfiable: 416,
  unknown_host: 421,
  invalid_input: 422,
  not_supported: 422,
  mast_not_known: 422,
  too_many_jobs: 429,
  too_many_bodies: 429,
  too_many_streams: 429,
  too_many_questions: 429,
  rate_limited: 429,
  internal_error: 500,
  not_ready: 503,
  // Calls to compute children that brought no answer: their class does not cross the process boundary, their code does.
  timeout: 503,
  memory: 503,
  worker_killed: 503,
  cancelled: 503,
  recycled: 503,
  // Storage and terrain that fail for now.
  storage_failed: 503,
  ledger_busy: 503,
  premises_busy: 503,
  premises_changed: 503,
  source_changed: 503,
  raster_unreadable: 503,
  terrain_not_ready: 503,
  storage_full: 507,
  // The operator's fault, not the caller's.
  terrain_dir_missing: 503,
};

const codeByStatus: Readonly<Record<number, string>> = {
  413: "too_large",
  415: "unsupported_media_type",
  416: "range_not_satisfiable",
};

const retryAfterS: Readonly<Record<number, number>> = { 429: 10, 503: 2, 507: 60 };

/** Public text of a failure on our side; the cause goes to the log only. */
const detailOfServerFault: Readonly<Record<number, string>> = {
  500: "Something failed on our side; the request id finds it in the log.",
  503: "The service cannot do this now; try again after the time in Retry-After.",
  507: "The disk of the service is full; try again after the time in Retry-After.",
};

/** Faults of the disk that pass: a full one, one that is mounted read-only or fails, too many open files. */
const codeBySystemError: Readonly<Record<string, string>> = {
  ENOSPC: "storage_full",
  EDQUOT: "storage_full",
  SQLITE_FULL: "storage_full",
  EROFS: "storage_failed",
  EIO: "storage_failed",
  EMFILE: "storage_failed",
  ENFILE: "storage_failed",
  SQLITE_IOERR: "storage_failed",
};

function findStatus(error: FellmarkError): number {
  const status = statusByCode[error.code];
  if (status !== undefined) return status;
  if (error instanceof InputError || error instanceof TerrainError) return 422;
  return error instanceof TransientError ? 503 : 500;
}

/** The HTTP stack's own refusals (body too large, bad %-escape, aborted body) carry a status; nothing else does. */
function toRefusal(thrown: unknown): FellmarkError | undefined {
  if (!(thrown instanceof Error)) return undefined;
  const code = "code" in thrown && typeof thrown.code === "string" ? codeBySystemError[thrown.code] : undefined;
  if (code !== undefined) return new FellmarkError(code, thrown.message, { cause: thrown });
  if (!("status" in thrown) || typeof thrown.status !== "number") return undefined;
  if (thrown.status === 404) return new FellmarkError("not_found", "Not found");
  if (thrown.status < 400 || thrown.status >= 500) return undefined;
  return new FellmarkError(codeByStatus[thrown.status] ?? "bad_request", thrown.message);
}

/** The body that answers whatever was thrown: an Error of ours, of the HTTP stack, or anything else. */
export function buildProblem(thrown: unknown, requestId: string): Problem {
  const error = thrown instanceof FellmarkError ? thrown : toRefusal(thrown);
  const code = error?.code ?? "internal_error";
  const status = error ? findStatus(error) : 500;
  return {
    type: "about:blank",
    title: STATUS_CODES[status] ?? "Error",
    status,
    code,
    detail: hidePaths(detailOfServerFault[status] ?? error?.message ?? ""),
    requestId,
    ...(error instanceof InputError
      ? { errors: error.problems.map((problem) => ({ ...problem, detail: hidePaths(problem.detail) })) }
      : {}),
  };
}

export function sendProblem(res: Response, problem: Problem): void {
  const waitS = retryAfterS[problem.status];
  if (waitS !== undefined && !res.hasHeader("Retry-After")) res.set("Retry-After", String(waitS));
  res.removeHeader("ETag");
  res.set("Cache-Control", "no-store").status(problem.status).type("application/problem+json");
  res.send(JSON.stringify(problem));
}

/** Last in the chain: answers every error. Headers already out mean a broken stream: close it, never mix two bodies. */
export const answerProblem: ErrorRequestHandler = (thrown, req, res, _next) => {
  const problem = buildProblem(thrown, String(req.id));
  if (problem.status >= 500) req.log.error({ err: thrown, code: problem.code }, "request failed");
  if (res.headersSent) return void res.destroy();
  if (problem.status !== 413) return sendProblem(res, problem);
  dropBody(req, () => sendProblem(res, problem));
};

/** Bytes of a body that is too large which are read and dropped, so that its sender gets to read the reply. */
const MAX_DROPPED_BYTES = 64_000_000;

/** Reads the rest of a body to nowhere, then calls back; a sender that does not stop is answered and cut. */
function dropBody(req: Request, done: () => void): void {
  if (req.complete || req.destroyed) {
    done();
    return;
  }
  let bytes = 0;
  const finish = () => {
    req.off("data", count).off("end", finish).off("close", finish);
    done();
  };
  const count = (chunk: Buffer) => {
    bytes += chunk.length;
    if (bytes > MAX_DROPPED_BYTES) finish();
  };
  req.on("data", count).once("end", finish).once("close", finish).resume();
}

export const refuseUnknownEndpoint: RequestHandler = () => {
  throw new FellmarkError("not_found", "Not found: no such endpoint. The list is at /docs");
};

/** Answers 405 and names what the address does allow. */
export function allowOnly(methods: string): RequestHandler {
  return (req, res) => {
    res.set("Allow", methods);
    throw new FellmarkError("method_not_allowed", `${req.method} is not allowed here; allowed: ${methods}`);
  };
}
