import type { JobKind, JobListQuery, JobRecord } from "@fellmark/ledger";
import { parseBody } from "@fellmark/network";
import { z } from "zod";
import type { Operation } from "../http/route-table.ts";
import { findTenant } from "../http/tenant.ts";
import { buildJobState, JOB_STATES, jobStateSchema } from "./job-state.ts";

const MAX_LISTED = 1000;
const STATE = `(${JOB_STATES.join("|")})`;

/** Query parameters of GET /v1/coverages and its like. */
export const jobListQuerySchema = z.strictObject({
  state: z
    .string()
    .regex(new RegExp(`^${STATE}(,${STATE})*$`), `must be states separated by commas, of ${JOB_STATES.join(", ")}`)
    .optional()
    .meta({ description: "States to list, separated by commas; if absent, all", example: "queued,running" }),
  from: z.iso
    .datetime({ offset: true })
    .optional()
    .meta({ description: "Jobs created at this time or later, ISO 8601 with offset", example: "2026-01-01T00:00:00Z" }),
  before: z.iso
    .datetime({ offset: true })
    .optional()
    .meta({ description: "Jobs created before this time, ISO 8601 with offset", example: "2026-02-01T00:00:00Z" }),
  limit: z.coerce.number().int().min(1).max(MAX_LISTED).default(50).describe("Most jobs of a page"),
  after: z.string().max(500).optional().meta({ description: "`next` of the page before; if absent, the first page" }),
});

const isoTime = (what: string) => z.iso.datetime().describe(`${what}, ISO 8601 in UTC`);

/** One job in a list: its state, and what tells it from the others. */
export const listedJobSchema = jobStateSchema
  .extend({
    name: z.string().describe("Name in the request"),
    createdAt: isoTime("Time at which it was queued"),
    updatedAt: isoTime("Time of its last change"),
    pinned: z.boolean().describe("True: its result is not removed to free space"),
  })
  .meta({ id: "ListedJob", example: undefined });

/** The reply of GET /v1/coverages and its like. */
export const jobListSchema = z
  .object({
    jobs: z.array(listedJobSchema).describe("Jobs of this kind, newest first"),
    next: z.string().nullable().describe("`after` of the following page; null: this is the last"),
  })
  .meta({ id: "JobList" });

/** Lists a tenant's jobs of one kind, newest first, by state and date of creation, a page at a time. */
export function listJobs(kind: JobKind): Operation {
  return ({ ledger }) =>
    async (req, res) => {
      const { jobs, next } = await ledger.listJobs({ tenant: findTenant(req), kind, ...toLedgerQuery(req.query) });
      const reply: z.input<typeof jobListSchema> = { jobs: jobs.map(describeJob), next };
      res.set("Cache-Control", "no-store").json(reply);
    };
}

function toLedgerQuery(query: unknown): Omit<JobListQuery, "tenant" | "kind"> {
  const { state, from, before, limit, after } = parseBody(jobListQuerySchema, query);
  return {
    limit,
    ...(state !== undefined && { states: JOB_STATES.filter((name) => state.split(",").includes(name)) }),
    ...(from !== undefined && { createdFromMs: Date.parse(from) }),
    ...(before !== undefined && { createdBeforeMs: Date.parse(before) }),
    ...(after !== undefined && { after }),
  };
}

export function describeJob(job: JobRecord): z.input<typeof listedJobSchema> {
  return {
    ...buildJobState(job),
    name: job.name,
    createdAt: new Date(job.createdAtMs).toISOString(),
    updatedAt: new Date(job.updatedAtMs).toISOString(),
    pinned: job.pinned,
  };
}
