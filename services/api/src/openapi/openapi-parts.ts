import { z } from "zod";
import type { ZodOpenApiPathsObject, ZodOpenApiResponsesObject } from "zod-openapi";
import { problemSchema } from "../http/problem.ts";
import { jobStateSchema } from "../jobs/job-state.ts";

const problemBody = { "application/problem+json": { schema: problemSchema } };
const stateBody = { "application/json": { schema: jobStateSchema } };
const retryAfter = { "Retry-After": { schema: { type: "integer" as const }, description: "Seconds to wait" } };

const problems = {
  400: { description: "Malformed: not JSON, not UTF-8, nested too deep", content: problemBody },
  404: { description: "There is no such thing", content: problemBody },
  409: { description: "The job changed meanwhile", content: problemBody },
  412: { description: "Another version of the network is the current one", content: problemBody },
  413: { description: "The body is over 1 MB, or 20 MB where a network or premises are sent", content: problemBody },
  415: { description: "The body is not application/json in UTF-8", content: problemBody },
  422: {
    description: "A field is wrong, not supported yet or too costly; a mast stands on unknown ground",
    content: problemBody,
  },
  429: { description: "Too many jobs or requests", headers: retryAfter, content: problemBody },
  503: { description: "The queue, ledger or compute child does not answer", headers: retryAfter, content: problemBody },
};

export function refusals(...statuses: (keyof typeof problems)[]): ZodOpenApiResponsesObject {
  return Object.fromEntries(statuses.map((status) => [String(status), problems[status]])) as ZodOpenApiResponsesObject;
}

const jobId = z
  .string()
  .regex(/^j[0-9a-f]{64}$/)
  .meta({ description: "From the Location header of the POST" });

/** A file of a result. */
export function result(
  tag: string,
  summary: string,
  mediaType: string,
  more: { name?: z.ZodType } = {},
): ZodOpenApiPathsObject[string] {
  return {
    get: {
      tags: [tag],
      summary,
      requestParams: {
        path: z.object({ id: jobId, ...more }),
        header: z.object({ "If-None-Match": z.string().optional() }),
      },
      responses: {
        "200": {
          description: "The file; its ETag is its SHA-256",
          headers: { ETag: { schema: { type: "string" } } },
          content: { [mediaType]: {} },
        },
        "304": { description: "Unchanged" },
        ...refusals(404, 429),
      },
    },
  };
}

export interface Queued {
  tag: string;
  summary: string;
  description: string;
  body: { schema: z.ZodType; example?: unknown };
  more?: ZodOpenApiResponsesObject;
}

/** An address that queues a job. */
export function queued({ tag, summary, description, body, more = {} }: Queued): ZodOpenApiPathsObject[string] {
  return {
    post: {
      tags: [tag],
      summary,
      description,
      requestBody: { required: true, content: { "application/json": body } },
      responses: {
        "202": {
          description: "Queued",
          headers: { Location: { schema: { type: "string" }, description: "Address of the job" } },
          content: stateBody,
        },
        "200": { description: "Known already", content: stateBody },
        ...more,
        ...refusals(400, 413, 415, 422, 429, 503),
      },
    },
  };
}

/** What every job has below its id. */
export function jobPaths(path: string, tag: string): ZodOpenApiPathsObject {
  const ofOne = { tags: [tag], requestParams: { path: z.object({ id: jobId }) } };
  return {
    [`${path}/{id}`]: {
      get: {
        ...ofOne,
        summary: "State, progress and links",
        responses: { "200": { description: "The state", content: stateBody }, ...refusals(404, 429) },
      },
      delete: {
        ...ofOne,
        summary: "Cancel, or remove once it has ended",
        responses: {
          "202": { description: "Was queued or running: cancelled, or about to be", content: stateBody },
          "204": { description: "Had ended: removed with its result" },
          ...refusals(404, 409, 429),
        },
      },
    },
    [`${path}/{id}/retry`]: {
      post: {
        ...ofOne,
        summary: "Run again what failed, was cancelled or expired",
        responses: {
          "202": { description: "Queued or running", content: stateBody },
          "200": { description: "Done: nothing to run", content: stateBody },
          ...refusals(404, 429, 503),
        },
      },
    },
    [`${path}/{id}/events`]: {
      get: {
        ...ofOne,
        summary: "Follow by server-sent events",
        description: "Events named `state`: one at once, one after each change; the stream ends with the job.",
        responses: {
          "200": { description: "Events whose data is a JobState", content: { "text/event-stream": {} } },
          "204": { description: "The Last-Event-ID sent was the last one" },
          ...refusals(404, 429),
        },
      },
    },
  };
}
