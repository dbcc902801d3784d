import type { JobKind, JobRecord, JobState } from "@fellmark/ledger";
import type { Response } from "express";
import { z } from "zod";

const linksSchema = z
  .object({
    self: z.string(),
    events: z.string(),
    summary: z.string().optional(),
    tiers: z.string().optional(),
    map: z.string().optional(),
    change: z.string().optional(),
    changeMap: z.string().optional(),
    beforeMap: z.string().optional(),
    afterMap: z.string().optional(),
    answers: z.string().optional(),
    answersMap: z.string().optional(),
  })
  .catchall(z.string())
  .meta({ description: "Addresses of what exists now; each raster as rasters/NAME" });

/** Where jobs of each kind have their addresses. */
export const JOBS_PATH: Readonly<Record<JobKind, string>> = {
  coverage: "/v1/coverages",
  comparison: "/v1/comparisons",
  advice: "/v1/advice",
  batch: "/v1/batches",
};

const RASTER_FILE = /^rasters\/[A-Za-z]+\.tif$/;
const EXAMPLE_ID = `j${"0f".repeat(32)}`;

/** What the address of every coverage, comparison, advice and batch answers. */
export const jobStateSchema = z
  .object({
    id: z.string().regex(/^j[0-9a-f]{64}$/),
    state: z.enum(["queued", "running", "done", "failed", "cancelled", "expired"]),
    progress: z.number().min(0).max(1),
    attempt: z.int().min(0),
    error: z.object({ code: z.string(), detail: z.string() }).nullable(),
    links: linksSchema,
  })
  .meta({
    id: "JobState",
    example: {
      id: EXAMPLE_ID,
      state: "running",
      progress: 0.4,
      attempt: 1,
      error: null,
      links: linksOf({ id: EXAMPLE_ID, kind: "coverage", files: null }),
    },
  });

export type JobStateBody = z.output<typeof jobStateSchema>;

export function isTerminal(state: JobState): boolean {
  return state !== "queued" && state !== "running";
}

function addressOf({ kind, id }: Pick<JobRecord, "kind" | "id">): string {
  return `${JOBS_PATH[kind]}/${id}`;
}

export function jobStateOf(job: JobRecord): JobStateBody {
  return {
    id: job.id,
    state: job.state,
    progress: job.progress,
    attempt: job.attempt,
    error: job.error && { code: job.error.code, detail: job.error.detail },
    links: linksOf(job),
  };
}

function linksOf({ id, kind, files }: Pick<JobRecord, "id" | "kind" | "files">): z.output<typeof linksSchema> {
  const self = addressOf({ kind, id });
  const links: z.output<typeof linksSchema> = { self, events: `${self}/events` };
  for (const { name } of files ?? []) {
    const [link, below] = linkOf(name);
    if (link !== undefined) links[link] = `${self}/${below}`;
  }
  return links;
}

/** Name of the link to a file and its address below the job; nothing for a file that has no address. */
function linkOf(file: string): [link?: string, below?: string] {
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

/** Replies with the state; 202 also says where to ask on. */
export function replyState(res: Response, status: 200 | 202, job: JobRecord): void {
  res.set("Location", addressOf(job)).set("Cache-Control", "no-store");
  res.status(status).json(jobStateOf(job));
}
