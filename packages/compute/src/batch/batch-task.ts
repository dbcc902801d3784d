import type { BatchRequest } from "@fellmark/network";
import type { CoverTask } from "../job-tasks.ts";

/** Leads to answer; writes answers.csv, answers.geojson and summary.json. */
export interface BatchTask extends Omit<CoverTask, "request"> {
  request: BatchRequest;
  tenant: string;
  /** Folder of the lists of premises of all tenants. */
  premisesDir: string;
  /** Folder that outlives the attempt: what is answered already is taken from it by the next. */
  workDir: string;
}
