import { MODEL_VERSION } from "@fellmark/coverage";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";

/** What every file of a result says of where it comes from. Nothing in it depends on the clock. */
export interface ResultFacts {
  /** Id of the job: a hash of the request, the model's version and the terrain's. */
  id: string;
  name: string;
  model: string;
  /** Fingerprint of the terrain. */
  terrain: string;
  method: string;
  confidence: number;
  availability: number;
  cpeHeightAglM: number;
}

export function describeResult(id: string, request: CoverageRequest, { fingerprint }: TerrainCatalogue): ResultFacts {
  const { name, model, cpe } = request;
  return {
    id,
    name,
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
export function toFactsText({ id, model, method, confidence, availability, cpeHeightAglM }: ResultFacts): string {
  const margins = `confidence ${toPercent(confidence)}, availability ${toPercent(availability)}`;
  return `CPE ${cpeHeightAglM} m above ground, ${margins}, method ${method}. Model ${model}, result ${id.slice(0, SHORT_ID)}`;
}

function toPercent(share: number): string {
  return `${Number((100 * share).toPrecision(5))} %`;
}
