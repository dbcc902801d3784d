import { ratioFromDb } from "@fellmark/units";
import type {
  AntennaDescription,
  DishDescription,
  HornDescription,
  PatchArrayDescription,
  PyramidalHornDescription,
} from "../description.ts";
import type { AntennaPattern, Port } from "../pattern.ts";
import { dishPattern } from "../synthesis/dish.ts";
import { hornPattern } from "../synthesis/horn.ts";
import { type LossPart, type LossParts, partsOf } from "../synthesis/loss-parts.ts";
import { patchArrayPattern } from "../synthesis/patch-array.ts";
import { pyramidalHornPattern } from "../synthesis/pyramidal-horn.ts";
import { measurePort } from "./measure-pattern.ts";

/** A description by dimensions. */
type Built = DishDescription | HornDescription | PatchArrayDescription | PyramidalHornDescription;

/** The antenna with some of its losses. */
export interface LossRow {
  /** Only the aperture's own pattern; one part beside it; or every part that the description has. */
  counted: "aperture" | LossPart | "all";
  gainDbi: number;
  /** Main-beam efficiency: share of the power that leaves the antenna. */
  mainLobe: number;
  /** Share of the power that is fed, so that the loss of the feed counts. */
  mainLobeOfFed: number;
}

/** Which loss brings which main-beam efficiency, of the vertical or -45 port at one frequency. */
export interface LossTable {
  frequencyGhz: number;
  rows: LossRow[];
  /** What is commonly said of antennas of this kind, percent from ... to. It has no source and judges nothing. */
  tradePercent: [from: number, to: number];
}

const MEASURED_PORT: Port = 1;

/** Common practice without a source: dishes in general, arrays of patches, good horns to the best. */
const TRADE_PERCENT: Readonly<Record<Built["kind"], [number, number]>> = {
  dish: [40, 40],
  "patch-array": [60, 60],
  horn: [90, 99],
  "pyramidal-horn": [90, 99],
};

/**
 * Main-beam efficiency with the losses of an antenna one by one and together; null where it is not built from
 * dimensions. Main lobe and efficiency are those of `measurePort`; tapers and curved wave fronts belong to the aperture.
 * @param pointer JSON pointer of the description, for errors. Throws as `antennaPattern` does.
 * Example: an evenly lit dish has 0.838 of its power in the main lobe (Airy); spillover at an edge taper of 11 dB takes
 * that of a dish from 0.97 to 0.86.
 */
export function lossTable(description: AntennaDescription, frequencyGhz: number, pointer = ""): LossTable | null {
  if (!isBuilt(description)) return null;
  const counted = partsThatCount(description);
  const row = (name: LossRow["counted"], parts: readonly LossPart[]): LossRow => {
    const { peakGainDbi, efficiency } = measurePort(
      builtWith(description, frequencyGhz, pointer, new Set(parts)),
      MEASURED_PORT,
    );
    const mainLobe = efficiency?.mainLobe ?? Number.NaN;
    const lossDb = parts.includes("feed-loss") ? lossDbOf(description) : 0;
    return { counted: name, gainDbi: peakGainDbi, mainLobe, mainLobeOfFed: mainLobe * ratioFromDb(-lossDb) };
  };
  const single = counted.map((part) => row(part, [part]));
  const rows = [row("aperture", []), ...single, row("all", counted)];
  return { frequencyGhz, rows, tradePercent: TRADE_PERCENT[description.kind] };
}

function isBuilt(description: AntennaDescription): description is Built {
  return description.kind in TRADE_PERCENT;
}

/** The parts that the description has, and that cost something. */
function partsThatCount(description: Built): LossPart[] {
  const asked = partsOf(description);
  const costs: Record<LossPart, boolean> = {
    spillover: description.kind === "dish",
    blockage: description.kind === "dish" && (description.blockageDiameterM ?? 0) > 0,
    "surface-errors": description.kind === "dish" && (description.surfaceRmsM ?? 0) > 0,
    "excitation-errors": description.kind === "patch-array",
    "feed-leakage": true,
    "mast-scatter": true,
    "feed-loss": lossDbOf(description) > 0,
  };
  return [...asked].filter((part) => costs[part]);
}

function builtWith(description: Built, frequencyGhz: number, pointer: string, parts: LossParts): AntennaPattern {
  switch (description.kind) {
    case "dish":
      return dishPattern(description, frequencyGhz, pointer, parts);
    case "horn":
      return hornPattern(description, frequencyGhz, pointer, parts);
    case "pyramidal-horn":
      return pyramidalHornPattern(description, frequencyGhz, pointer, parts);
    case "patch-array":
      return patchArrayPattern(description, frequencyGhz, pointer, parts);
  }
}

function lossDbOf(description: Built): number {
  return (description.kind === "patch-array" ? description.feedLossDb : description.lossDb) ?? 0;
}
