import type { JobKind } from "@fellmark/ledger";
import { FellmarkError, NotFoundError } from "@fellmark/units";
import type { Request, RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { findJob } from "./find-job.ts";

export interface ResultRoute {
  mediaType: string;
  /** Name of the file in the result, from the address. */
  nameOf: (req: Request) => string;
}

/** The files of a kind of job by their path below the job. */
export type ResultFiles = Readonly<Record<string, ResultRoute>>;

const SUMMARY = createFileRoute("summary.json", "application/json");

export const COVERAGE_FILES: ResultFiles = {
  "/summary": SUMMARY,
  "/tiers.geojson": createFileRoute("tiers.geojson", "application/geo+json"),
  "/map.png": createFileRoute("map.png", "image/png"),
  "/rasters/:name.tif": { mediaType: "image/tiff", nameOf: (req) => `rasters/${String(req.params.name)}.tif` },
};

export const COMPARISON_FILES: ResultFiles = {
  "/summary": SUMMARY,
  "/change.geojson": createFileRoute("change.geojson", "application/geo+json"),
  "/change.png": createFileRoute("change.png", "image/png"),
  "/before.png": createFileRoute("before.png", "image/png"),
  "/after.png": createFileRoute("after.png", "image/png"),
};

export const ADVICE_FILES: ResultFiles = { "/summary": SUMMARY };

export const BATCH_FILES: ResultFiles = {
  "/summary": SUMMARY,
  "/answers.csv": createFileRoute("answers.csv", "text/csv"),
  "/answers.geojson": createFileRoute("answers.geojson", "application/geo+json"),
};

function createFileRoute(name: string, mediaType: string): ResultRoute {
  return { mediaType, nameOf: () => name };
}

/** One published file, with its SHA-256 as ETag: asked again with If-None-Match it costs a 304. */
export function getResult(
  { ledger, store }: ApiContext,
  kind: JobKind,
  { mediaType, nameOf }: ResultRoute,
): RequestHandler {
  return async (req, res) => {
    const job = await findJob(ledger, req, kind);
    if (job.state === "expired")
      throw new FellmarkError("expired", `the result of this ${kind} was removed: retry computes it again`);
    if (job.state !== "done") throw new NotFoundError(`there is no result yet: the ${kind} is ${job.state}`);
    const name = nameOf(req);
    const file = job.files?.find((candidate) => candidate.name === name);
    if (!file) throw new NotFoundError("the result has no such file");
    res.set("ETag", `"${file.sha256}"`).type(mediaType);
    // Bytes never change under an id, but the result may be deleted: let caches ask each time.
    res.set("Cache-Control", "private, no-cache");
    // no-cache of a request speaks to caches on the way (RFC 9111, 5.2.1.4); here, at the origin, the ETag decides.
    delete req.headers["cache-control"];
    res.sendFile(store.findPath(job, name), { cacheControl: false, lastModified: false, dotfiles: "allow" });
  };
}
