import { createCutsPattern } from "./cuts-pattern.ts";
import type { AntennaDescription } from "./description.ts";
import { type AntennaPattern, createIsotropicPattern } from "./pattern.ts";
import { readCsv } from "./read/read-csv.ts";
import { readExchange } from "./read/read-exchange.ts";
import { createDishReferencePattern } from "./reference/dish-reference.ts";
import { createSectoralReferencePattern } from "./reference/sectoral-reference.ts";
import { createShroudedPattern } from "./shrouded.ts";
import { createDishPattern } from "./synthesis/dish.ts";
import { createHornPattern } from "./synthesis/horn.ts";
import { createPatchArrayPattern } from "./synthesis/patch-array.ts";
import { createPyramidalHornPattern } from "./synthesis/pyramidal-horn.ts";
import { createTr38901Pattern } from "./tr38901.ts";
import { removeLobes } from "./without-lobes.ts";

/**
 * Returns the pattern of a description at a frequency.
 * @param pointer JSON pointer of the description, for errors.
 * Throws InputError below `pointer` where the description cannot be an antenna.
 */
export function createAntennaPattern(
  description: AntennaDescription,
  frequencyGhz: number,
  pointer = "",
): AntennaPattern {
  switch (description.kind) {
    case "isotropic":
      return createIsotropicPattern(description.gainDbi);
    case "tr38901":
      return createTr38901Pattern();
    case "cuts":
      return createCutsPattern(description, pointer);
    case "patch-array":
      return createPatchArrayPattern(description, frequencyGhz, pointer);
    case "horn":
      return createHornPattern(description, frequencyGhz, pointer);
    case "pyramidal-horn":
      return createPyramidalHornPattern(description, frequencyGhz, pointer);
    case "dish":
      return createDishPattern(description, frequencyGhz, pointer);
    case "f1336":
      return createSectoralReferencePattern(description, frequencyGhz, pointer);
    case "f699":
    case "f1245": {
      const { kind, gainDbi, diameterM } = description;
      return createDishReferencePattern(kind, { gainDbi, diameterM, frequencyGhz }, pointer);
    }
    case "shrouded":
      return createShroudedPattern(
        createAntennaPattern(description.base, frequencyGhz, `${pointer}/base`),
        description,
      );
    case "without-lobes":
      return removeLobes(createAntennaPattern(description.base, frequencyGhz, `${pointer}/base`), description.power);
    case "exchange":
      return readExchange(description.text, frequencyGhz, pointer).pattern;
    case "csv":
      return readCsv(description.text, description.gainDbi, pointer).pattern;
  }
}
