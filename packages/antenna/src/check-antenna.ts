import { createAntennaPattern } from "./antenna-pattern.ts";
import type { AntennaDescription } from "./description.ts";
import { refuseEnvelope } from "./pattern.ts";
import { checkDish } from "./synthesis/dish.ts";
import { checkHorn } from "./synthesis/horn.ts";
import { checkPatchArray } from "./synthesis/patch-array.ts";
import { checkPyramidalHorn } from "./synthesis/pyramidal-horn.ts";

/**
 * Refuses, within microseconds, an antenna that cannot transmit at a frequency: dimensions or bands outside its kind's
 * limits, and envelopes. No field is computed and no text is read: `createAntennaPattern` may still refuse.
 * @param pointer JSON pointer of the description, for errors. Throws InputError with the limit.
 */
export function checkAntenna(description: AntennaDescription, frequencyGhz: number, pointer = ""): void {
  switch (description.kind) {
    case "patch-array":
      checkPatchArray(description, frequencyGhz, pointer);
      break;
    case "horn":
      checkHorn(description, frequencyGhz, pointer);
      break;
    case "pyramidal-horn":
      checkPyramidalHorn(description, frequencyGhz, pointer);
      break;
    case "dish":
      checkDish(description, frequencyGhz, pointer);
      break;
    case "f1336":
    case "f699":
    case "f1245":
      refuseEnvelope(createAntennaPattern(description, frequencyGhz, pointer), pointer);
      break;
    case "shrouded":
    case "without-lobes":
      checkAntenna(description.base, frequencyGhz, `${pointer}/base`);
      break;
  }
}
