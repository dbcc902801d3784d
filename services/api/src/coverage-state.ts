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
  .meta({ id: "CoverageState" });

export type CoverageState = z.output<typeof coverageStateSchema>;

export function isTerminal(state: JobState): boolean {
  return state !== "queued" && state !== "running";
}

export function addressOf(id: string): string {
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

const linkByFile: Readonly<Record<string, "summary" | "tiers" | "map">> = {
  "summary.json": "summary",
  "tiers.geojson": "tiers",
  "map.png": "map",
};

function linksOf(job: JobRecord): CoverageState["links"] {
  const self = addressOf(job.id);
  const links: CoverageState["links"] = { self, events: `${self}/events` };
  const rasters: Record<string, string> = {};
  for (const { name } of job.files ?? []) {
    const link = linkByFile[name];
    const raster = /^rasters\/([A-Za-z]+)\.tif$/.exec(name)?.[1];
    if (link === "summary") links.summary = `${self}/summary`;
    else if (link !== undefined) links[link] = `${self}/${name}`;
    else if (raster !== undefined) rasters[raster] = `${self}/${name}`;
  }
  return Object.keys(rasters).length > 0 ? { ...links, rasters } : links;
}

/** Replies with the state; 202 also says where to ask on. */
export function replyState(res: Response, status: 200 | 202, job: JobRecord): void {
  res.set("Location", addressOf(job.id)).set("Cache-Control", "no-store");
  res.status(status).json(coverageStateOf(job));
}
