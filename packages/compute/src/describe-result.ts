import { MODEL_VERSION } from "@fellmark/coverage";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import type { CoverTask } from "./job-tasks.ts";

/** Origin of a result, as every file of it states it. Nothing in it depends on the clock. */
export interface ResultFacts {
  /** Id of the job: a hash of the request, the model's version and the terrain's. */
  id: string;
  name: string;
  /** Day on which the request was submitted, YYYY-MM-DD, UTC; null where the caller states none. */
  date: string | null;
  /** Version of the network that the request was made from; null for a request of its own. */
  network: string | null;
  model: string;
  /** Fingerprint of the terrain. */
  terrain: string;
  method: string;
  confidence: number;
  availability: number;
  cpeHeightAglM: number;
}

export function describeResult(
  { jobId, date }: Pick<CoverTask, "jobId" | "date">,
  { name, model, cpe, networkVersion }: CoverageRequest,
  { fingerprint }: TerrainCatalogue,
): ResultFacts {
  return {
    id: jobId,
    name,
    date: date ?? null,
    network: networkVersion ?? null,
    model: MODEL_VERSION,
    terrain: fingerprint,
    method: model.method,
    confidence: model.confidence,
    availability: model.availability,
    cpeHeightAglM: cpe.heightAglM,
  };
}

/** Characters of a hash that tell two results apart at a glance. */
const SHORT_ID = 13;

/** The facts as one line of a picture. */
export function toFactsText(facts: ResultFacts): string {
  const { id, date, network, model, method, confidence, availability, cpeHeightAglM } = facts;
  const margins = `confidence ${toPercent(confidence)}, availability ${toPercent(availability)}`;
  const origin = [
    ...(date === null ? [] : [date]),
    `model ${model}`,
    ...(network === null ? [] : [`network ${network.slice(0, SHORT_ID)}`]),
    `result ${id.slice(0, SHORT_ID)}`,
  ];
  return `CPE ${cpeHeightAglM} m above ground, ${margins}, method ${method}; ${origin.join(", ")}`;
}

function toPercent(share: number): string {
  return `${Number((100 * share).toPrecision(5))} %`;
}
