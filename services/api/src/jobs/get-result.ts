import type { JobKind } from "@fellmark/ledger";
import { NotFoundError } from "@fellmark/units";
import type { Request, RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { findJob } from "./find-job.ts";

export interface ResultRoute {
  mediaType: string;
  /** Name of the file in the result, from the address. */
  nameOf: (req: Request) => string;
}

export const summaryFile: ResultRoute = { mediaType: "application/json", nameOf: () => "summary.json" };
export const tiersFile: ResultRoute = { mediaType: "application/geo+json", nameOf: () => "tiers.geojson" };
export const mapFile: ResultRoute = { mediaType: "image/png", nameOf: () => "map.png" };
export const changeFile: ResultRoute = { mediaType: "application/geo+json", nameOf: () => "change.geojson" };
export const changeMapFile: ResultRoute = { mediaType: "image/png", nameOf: () => "change.png" };
export const beforeMapFile: ResultRoute = { mediaType: "image/png", nameOf: () => "before.png" };
export const afterMapFile: ResultRoute = { mediaType: "image/png", nameOf: () => "after.png" };
export const answersCsvFile: ResultRoute = { mediaType: "text/csv", nameOf: () => "answers.csv" };
export const answersGeojsonFile: ResultRoute = { mediaType: "application/geo+json", nameOf: () => "answers.geojson" };
export const rasterFile: ResultRoute = {
  mediaType: "image/tiff",
  nameOf: (req) => `rasters/${String(req.params.name)}.tif`,
};

/** One published file, with its SHA-256 as ETag: asked again with If-None-Match it costs a 304. */
export function getResult(
  { ledger, store }: ApiContext,
  kind: JobKind,
  { mediaType, nameOf }: ResultRoute,
): RequestHandler {
  return async (req, res) => {
    const job = await findJob(ledger, req, kind);
    if (job.state !== "done") throw new NotFoundError(`there is no result yet: the ${kind} is ${job.state}`);
    const name = nameOf(req);
    const file = job.files?.find((candidate) => candidate.name === name);
    if (!file) throw new NotFoundError("the result has no such file");
    res.set("ETag", `"${file.sha256}"`).type(mediaType);
    // Bytes never change under an id, but the result may be deleted: let caches ask each time.
    res.set("Cache-Control", "private, no-cache");
    // no-cache of a request speaks to caches on the way (RFC 9111, 5.2.1.4); here, at the origin, the ETag decides.
    delete req.headers["cache-control"];
    res.sendFile(store.pathOf(job, name), { cacheControl: false, lastModified: false, dotfiles: "allow" });
  };
}
