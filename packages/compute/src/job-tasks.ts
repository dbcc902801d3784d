import type { LossCacheLimits } from "@fellmark/coverage";
import type { AdviceRequest, ComparisonRequest, CoverageRequest } from "@fellmark/network";

/** A coverage to compute: everything the child needs, by value or by path. */
export interface CoverTask {
  /** Goes into summary.json. */
  jobId: string;
  request: CoverageRequest;
  /** Day on which the request was submitted, YYYY-MM-DD, UTC, for the files of the result. */
  date?: string;
  terrainDir: string;
  /** Catalogue version over which the task was accepted: any other ends it with 'source_changed'. Absent: any will do. */
  terrainFingerprint?: string;
  /** An existing empty folder; receives summary.json and the outputs asked for. */
  outDir: string;
  /** Folder of the loss cache; absent: no cache on disk. */
  cacheDir?: string;
  /** Limits of that folder; absent: 2 GB. */
  cacheLimits?: LossCacheLimits;
  threads?: number;
}

/** Channels to advise on; writes summary.json. */
export interface AdviseTask extends Omit<CoverTask, "request"> {
  request: AdviceRequest;
}

/** A comparison to make; writes summary.json, change.geojson and pictures. */
export interface CompareTask extends Omit<CoverTask, "request"> {
  request: ComparisonRequest;
}
