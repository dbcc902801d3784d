import type { JobKind, JobRecord, JobState } from "@fellmark/ledger";
import type { Finding } from "@fellmark/network";
import type { Response } from "express";
import { z } from "zod";
import { hidePaths } from "../http/hide-paths.ts";
import { findingSchema } from "../network/network-state.ts";

const path = (what: string) => z.string().describe(`Path of ${what}`);

const linksSchema = z
  .object({
    self: path("the job"),
    events: path("its server-sent events"),
    summary: path("the summary").optional(),
    tiers: path("the polygons by best plan").optional(),
    map: path("the picture of the tiers").optional(),
    change: path("the polygons by change").optional(),
    changeMap: path("the picture of the change").optional(),
    beforeMap: path("the picture of the coverage before").optional(),
    afterMap: path("the picture of the coverage after").optional(),
    answers: path("the answers as CSV").optional(),
    answersMap: path("the answers as GeoJSON").optional(),
  })
  .catchall(z.string())
  .describe("Paths of what exists now; each raster as rasters/NAME");

/** URL paths of the jobs of each kind. */
export const JOBS_PATH: Readonly<Record<JobKind, string>> = {
  coverage: "/v1/coverages",
  comparison: "/v1/comparisons",
  advice: "/v1/advice",
  batch: "/v1/batches",
};

const RASTER_FILE = /^rasters\/[A-Za-z]+\.tif$/;
const EXAMPLE_ID = `j${"0f".repeat(32)}`;

export const JOB_STATES = ["queued", "running", "done", "failed", "cancelled", "expired"] as const;

/** The reply of GET of a coverage, comparison, advice or batch. */
export const jobStateSchema = z
  .object({
    id: z
      .string()
      .regex(/^j[0-9a-f]{64}$/)
      .describe("Id of the job: equal requests over equal terrain have the same"),
    state: z
      .enum(JOB_STATES)
      .describe(
        "`queued`: waits for a worker; `running`: is computed; `done`: the result is there; `failed`: see error; " +
          "`cancelled`: on request; `expired`: the result was removed to free space",
      ),
    progress: z.number().min(0).max(1).describe("Share of the work that is done"),
    attempt: z.int().min(0).describe("Number of the attempt; 0: not started"),
    error: z
      .object({
        code: z.string().describe("Stable name of the error, snake_case"),
        detail: z.string().describe("The error in words"),
      })
      .nullable()
      .describe("Reason of a failure; null: none"),
    links: linksSchema,
    findings: z
      .array(findingSchema)
      .optional()
      .meta({ description: "Values that look like slips, in the reply to POST; absent where there are none" }),
  })
  .meta({
    id: "JobState",
    example: {
      id: EXAMPLE_ID,
      state: "running",
      progress: 0.4,
      attempt: 1,
      error: null,
      links: buildLinks({ id: EXAMPLE_ID, kind: "coverage", files: null }),
    },
  });

export type JobStateBody = z.output<typeof jobStateSchema>;

export function isTerminal(state: JobState): boolean {
  return state !== "queued" && state !== "running";
}

function buildJobUrl({ kind, id }: Pick<JobRecord, "kind" | "id">): string {
  return `${JOBS_PATH[kind]}/${id}`;
}

export function buildJobState(job: JobRecord): JobStateBody {
  return {
    id: job.id,
    state: job.state,
    progress: job.progress,
    attempt: job.attempt,
    error: job.error && { code: job.error.code, detail: hidePaths(job.error.detail) },
    links: buildLinks(job),
  };
}

function buildLinks({ id, kind, files }: Pick<JobRecord, "id" | "kind" | "files">): z.output<typeof linksSchema> {
  const self = buildJobUrl({ kind, id });
  const links: z.output<typeof linksSchema> = { self, events: `${self}/events` };
  for (const { name } of files ?? []) {
    const [link, below] = findLink(name);
    if (link !== undefined) links[link] = `${self}/${below}`;
  }
  return links;
}

/** Name of the link to a file and its address below the job; nothing for a file that has no address. */
function findLink(file: string): [link?: string, below?: string] {
  if (file === "summary.json") return ["summary", "summary"];
  if (file === "tiers.geojson") return ["tiers", file];
  if (file === "map.png") return ["map", file];
  if (file === "change.geojson") return ["change", file];
  if (file === "change.png") return ["changeMap", file];
  if (file === "before.png") return ["beforeMap", file];
  if (file === "after.png") return ["afterMap", file];
  if (file === "answers.csv") return ["answers", file];
  if (file === "answers.geojson") return ["answersMap", file];
  return RASTER_FILE.test(file) ? [file.slice(0, -".tif".length), file] : [];
}

/** Replies with the state and the slips in the request; 202 also says where to ask on. */
export function replyState(res: Response, status: 200 | 202, job: JobRecord, findings: readonly Finding[] = []): void {
  res.set("Location", buildJobUrl(job)).set("Cache-Control", "no-store");
  res.status(status).json({ ...buildJobState(job), ...(findings.length > 0 && { findings }) });
}
