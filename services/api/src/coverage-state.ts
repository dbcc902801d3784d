import path from "node:path";
import type { JobRecord, JobState } from "@fellmark/ledger";
import type { Response } from "express";
import { z } from "zod";

const linksSchema = z
  .object({
    self: z.string(),
    events: z.string(),
    summary: z.string().optional(),
    tiers: z.string().optional(),
    map: z.string().optional(),
    rasters: z.record(z.string(), z.string()).optional(),
  })
  .meta({ description: "Addresses of what exists now" });

const RASTER_FILE = /^rasters\/[A-Za-z]+\.tif$/;
const EXAMPLE_ID = `j${"0f".repeat(32)}`;

/** What every coverage address answers about the job. */
export const coverageStateSchema = z
  .object({
    id: z.string().regex(/^j[0-9a-f]{64}$/),
    state: z.enum(["queued", "running", "done", "failed", "cancelled", "expired"]),
    progress: z.number().min(0).max(1),
    attempt: z.int().min(0),
    error: z.object({ code: z.string(), detail: z.string() }).nullable(),
    links: linksSchema,
  })
  .meta({
    id: "CoverageState",
    example: {
      id: EXAMPLE_ID,
      state: "running",
      progress: 0.4,
      attempt: 1,
      error: null,
      links: linksOf({ id: EXAMPLE_ID, files: null }),
    },
  });

export type CoverageState = z.output<typeof coverageStateSchema>;

export function isTerminal(state: JobState): boolean {
  return state !== "queued" && state !== "running";
}

function addressOf(id: string): string {
  return `/v1/coverages/${id}`;
}

export function coverageStateOf(job: JobRecord): CoverageState {
  return {
    id: job.id,
    state: job.state,
    progress: job.progress,
    attempt: job.attempt,
    error: job.error && { code: job.error.code, detail: job.error.detail },
    links: linksOf(job),
  };
}

function linksOf({ id, files }: Pick<JobRecord, "id" | "files">): z.output<typeof linksSchema> {
  const self = addressOf(id);
  const names = files?.map(({ name }) => name) ?? [];
  const linkTo = (file: string, below = file) => (names.includes(file) ? `${self}/${below}` : undefined);
  const rasters = names
    .filter((name) => RASTER_FILE.test(name))
    .map((name) => [path.basename(name, ".tif"), `${self}/${name}`]);
  return {
    self,
    events: `${self}/events`,
    summary: linkTo("summary.json", "summary"),
    tiers: linkTo("tiers.geojson"),
    map: linkTo("map.png"),
    rasters: rasters.length > 0 ? Object.fromEntries(rasters) : undefined,
  };
}

/** Replies with the state; 202 also says where to ask on. */
export function replyState(res: Response, status: 200 | 202, job: JobRecord): void {
  res.set("Location", addressOf(job.id)).set("Cache-Control", "no-store");
  res.status(status).json(coverageStateOf(job));
}
