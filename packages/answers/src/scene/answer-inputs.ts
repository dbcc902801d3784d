import { MODEL_VERSION } from "@fellmark/coverage";
import type { AnswerScene } from "./scene.ts";

/** Versions that an answer rests on. */
export interface AnswerInputs {
  /** Version of the model. */
  model: string;
  /** Fingerprint of the terrain; null where the profile comes from elsewhere. */
  terrain: string | null;
  /** Version of the calibration by own links, or null. */
  calibration: string | null;
}

export function listInputs({ request, terrain }: AnswerScene): AnswerInputs {
  return {
    model: MODEL_VERSION,
    terrain: terrain?.data.fingerprint ?? null,
    calibration: request.model.calibration?.version ?? null,
  };
}
