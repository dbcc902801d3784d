import { cutsPattern } from "./cuts-pattern.ts";
import type { AntennaDescription } from "./description.ts";
import { type AntennaPattern, isotropicPattern } from "./pattern.ts";
import { tr38901Pattern } from "./tr38901.ts";

/**
 * The pattern of a description at a frequency.
 * @param pointer JSON pointer of the description, for errors.
 * Throws InputError below `pointer` where the description cannot be an antenna.
 */
export function antennaPattern(description: AntennaDescription, _frequencyGhz: number, pointer = ""): AntennaPattern {
  switch (description.kind) {
    case "isotropic":
      return isotropicPattern(description.gainDbi);
    case "tr38901":
      return tr38901Pattern();
    case "cuts":
      return cutsPattern(description, pointer);
    default:
      throw new TypeError(`no pattern of kind ${description.kind} yet`);
  }
}
