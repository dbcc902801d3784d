import { z } from "zod";
import type { ZodOpenApiMediaTypeObject, ZodOpenApiPathsObject, ZodOpenApiResponsesObject } from "zod-openapi";
import { problemSchema } from "../http/problem.ts";
import { jobStateSchema } from "../jobs/job-state.ts";
import { jobListQuerySchema, jobListSchema, listedJobSchema } from "../jobs/list-jobs.ts";

const problemBody = { "application/problem+json": { schema: problemSchema } };
const stateBody = { "application/json": { schema: jobStateSchema } };
const retryAfter = { "Retry-After": { schema: { type: "integer" as const }, description: "Seconds to wait" } };

const problems = {
  400: { description: "Malformed: not JSON, not UTF-8, nested too deep", content: problemBody },
  401: { description: "A token is needed, or it is unknown, revoked or has expired", content: problemBody },
  403: { description: "The token is not for this web page", content: problemBody },
  404: { description: "Not found", content: problemBody },
  409: {
    description: "The job changed meanwhile or is not done; the version is in another state",
    content: problemBody,
  },
  410: {
    description: "The result was removed to free space: retry computes it again; the version was taken back or retired",
    content: problemBody,
  },
  412: { description: "Another version of the network is the current one", content: problemBody },
  413: { description: "The body is over 1 MB, or 20 MB where a network or leads are sent", content: problemBody },
  415: { description: "The body is not application/json in UTF-8", content: problemBody },
  416: { description: "The range lies beyond the end of the file", content: problemBody },
  422: {
    description: "A field is wrong, not supported yet or too costly; a mast stands on unknown ground",
    content: problemBody,
  },
  429: { description: "Too many jobs or requests", headers: retryAfter, content: problemBody },
  503: { description: "The queue, ledger or compute child does not answer", headers: retryAfter, content: problemBody },
  507: { description: "The disk is full", headers: retryAfter, content: problemBody },
};

/** The replies that refuse a request, by status. */
export function describeRefusals(...statuses: (keyof typeof problems)[]): ZodOpenApiResponsesObject {
  return Object.fromEntries(statuses.map((status) => [String(status), problems[status]])) as ZodOpenApiResponsesObject;
}

/** A reply of 200 in JSON. */
export function describeJsonReply(description: string, schema: z.ZodType): ZodOpenApiResponsesObject {
  return { "200": { description, content: { "application/json": { schema } } } };
}

/** Bodies that are no JSON: pictures, rasters and streams. */
export const binarySchema = z.string().meta({ description: "Bytes of the file", format: "binary" });
export const textSchema = z.string().meta({ description: "Text" });

const jobId = z
  .string()
  .regex(/^j[0-9a-f]{64}$/)
  .meta({ description: "Id of the job: the last part of the Location header of its POST" });

/** One kind of job: `name` in operation ids, such as Coverage, and the tag that it is listed under. */
export interface JobNames {
  path: string;
  tag: string;
  name: string;
}

export interface ResultFile {
  /** End of the operation id, such as Summary. */
  name: string;
  summary: string;
  content: Record<string, ZodOpenApiMediaTypeObject>;
  params?: Record<string, z.ZodType>;
}

/** A file of a result. */
export function describeResultPath({ tag, name }: JobNames, file: ResultFile): ZodOpenApiPathsObject[string] {
  return {
    get: {
      operationId: `get${name}${file.name}`,
      tags: [tag],
      summary: file.summary,
      requestParams: {
        path: z.object({ id: jobId, ...file.params }),
        header: z.object({
          "If-None-Match": z.string().optional().meta({ description: "ETag of the copy that the caller has" }),
        }),
      },
      responses: {
        "200": {
          description: "The file; its ETag is its SHA-256",
          headers: { ETag: { schema: { type: "string" }, description: "SHA-256 of the file, in quotes" } },
          content: file.content,
        },
        "304": { description: "Unchanged" },
        ...describeRefusals(404, 410, 429),
      },
    },
  };
}

export interface Submission {
  operationId: string;
  tag: string;
  /** Name of the operation that lists what is queued here, and what it lists. */
  list?: { operationId: string; what: string };
  summary: string;
  description: string;
  body: { schema: z.ZodType; example?: unknown };
  more?: ZodOpenApiResponsesObject;
}

/** The operation that queues a job. */
export function describeSubmissionPath(submission: Submission): ZodOpenApiPathsObject[string] {
  const { operationId, tag, summary, description, body, more = {} } = submission;
  return {
    ...(submission.list && { get: listOperation(tag, submission.list) }),
    post: {
      operationId,
      tags: [tag],
      summary,
      description,
      requestBody: { required: true, content: { "application/json": body } },
      responses: {
        "202": {
          description: "Queued",
          headers: { Location: { schema: { type: "string" }, description: "Path of the job" } },
          content: stateBody,
        },
        "200": { description: "Known already", content: stateBody },
        ...more,
        ...describeRefusals(400, 413, 415, 422, 429, 503, 507),
      },
    },
  };
}

function listOperation(tag: string, { operationId, what }: { operationId: string; what: string }) {
  return {
    operationId,
    tags: [tag],
    summary: `List ${what} by state and date, newest first`,
    requestParams: { query: jobListQuerySchema },
    responses: { ...describeJsonReply("A page of jobs", jobListSchema), ...describeRefusals(422, 429) },
  };
}

/** The operations that every job has below its id. */
export function describeJobPaths({ path, tag, name }: JobNames): ZodOpenApiPathsObject {
  const ofOne = { tags: [tag], requestParams: { path: z.object({ id: jobId }) } };
  return {
    [`${path}/{id}`]: {
      get: {
        ...ofOne,
        operationId: `get${name}`,
        summary: "State, progress and links",
        responses: { "200": { description: "The state", content: stateBody }, ...describeRefusals(404, 429) },
      },
      delete: {
        ...ofOne,
        operationId: `delete${name}`,
        summary: "Cancel, or remove once it has ended",
        responses: {
          "202": { description: "Was queued or running: cancelled, or about to be", content: stateBody },
          "204": { description: "Had ended: removed with its result" },
          ...describeRefusals(404, 409, 429),
        },
      },
    },
    [`${path}/{id}/pin`]: {
      put: {
        ...ofOne,
        operationId: `pin${name}`,
        summary: "Keep the result, whatever its age and size",
        responses: { ...describeJsonReply("The job", listedJobSchema), ...describeRefusals(404, 429) },
      },
      delete: {
        ...ofOne,
        operationId: `unpin${name}`,
        summary: "Let the result be removed when space is needed",
        responses: { ...describeJsonReply("The job", listedJobSchema), ...describeRefusals(404, 429) },
      },
    },
    [`${path}/{id}/retry`]: {
      post: {
        ...ofOne,
        operationId: `retry${name}`,
        summary: "Run again what failed, was cancelled or expired",
        responses: {
          "202": { description: "Queued or running", content: stateBody },
          "200": { description: "Done: nothing to run", content: stateBody },
          ...describeRefusals(404, 429, 503),
        },
      },
    },
    [`${path}/{id}/events`]: {
      get: {
        ...ofOne,
        operationId: `follow${name}`,
        summary: "Follow by server-sent events",
        description: "Events named `state`: one at once, one after each change; the stream ends with the job.",
        responses: {
          "200": {
            description: "Events whose data is a JobState",
            content: { "text/event-stream": { schema: textSchema } },
          },
          "204": { description: "The Last-Event-ID sent was the last one" },
          ...describeRefusals(404, 429),
        },
      },
    },
  };
}
