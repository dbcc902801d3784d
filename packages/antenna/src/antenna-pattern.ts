import { cutsPattern } from "./cuts-pattern.ts";
import type { AntennaDescription } from "./description.ts";
import { type AntennaPattern, isotropicPattern } from "./pattern.ts";
import { readCsv } from "./read/read-csv.ts";
import { readExchange } from "./read/read-exchange.ts";
import { dishReferencePattern } from "./reference/dish-reference.ts";
import { sectoralReferencePattern } from "./reference/sectoral-reference.ts";
import { shroudedPattern } from "./shrouded.ts";
import { dishPattern } from "./synthesis/dish.ts";
import { hornPattern } from "./synthesis/horn.ts";
import { patchArrayPattern } from "./synthesis/patch-array.ts";
import { pyramidalHornPattern } from "./synthesis/pyramidal-horn.ts";
import { tr38901Pattern } from "./tr38901.ts";
import { withoutLobes } from "./without-lobes.ts";

/**
 * The pattern of a description at a frequency.
 * @param pointer JSON pointer of the description, for errors.
 * Throws InputError below `pointer` where the description cannot be an antenna.
 */
export function antennaPattern(description: AntennaDescription, frequencyGhz: number, pointer = ""): AntennaPattern {
  switch (description.kind) {
    case "isotropic":
      return isotropicPattern(description.gainDbi);
    case "tr38901":
      return tr38901Pattern();
    case "cuts":
      return cutsPattern(description, pointer);
    case "patch-array":
      return patchArrayPattern(description, frequencyGhz, pointer);
    case "horn":
      return hornPattern(description, frequencyGhz, pointer);
    case "pyramidal-horn":
      return pyramidalHornPattern(description, frequencyGhz, pointer);
    case "dish":
      return dishPattern(description, frequencyGhz, pointer);
    case "f1336":
      return sectoralReferencePattern(description, frequencyGhz, pointer);
    case "f699":
    case "f1245": {
      const { kind, gainDbi, diameterM } = description;
      return dishReferencePattern(kind, { gainDbi, diameterM, frequencyGhz }, pointer);
    }
    case "shrouded":
      return shroudedPattern(antennaPattern(description.base, frequencyGhz, `${pointer}/base`), description);
    case "without-lobes":
      return withoutLobes(antennaPattern(description.base, frequencyGhz, `${pointer}/base`), description.power);
    case "exchange":
      return readExchange(description.text, frequencyGhz, pointer).pattern;
    case "csv":
      return readCsv(description.text, description.gainDbi, pointer).pattern;
  }
}
