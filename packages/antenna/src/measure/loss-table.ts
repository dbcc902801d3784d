import { toRatio } from "@fellmark/units";
import type {
  AntennaDescription,
  DishDescription,
  HornDescription,
  PatchArrayDescription,
  PyramidalHornDescription,
} from "../description.ts";
import type { AntennaPattern, Port } from "../pattern.ts";
import { createDishPattern } from "../synthesis/dish.ts";
import { createHornPattern } from "../synthesis/horn.ts";
import { type LossPart, type LossParts, listLossParts } from "../synthesis/loss-parts.ts";
import { createPatchArrayPattern } from "../synthesis/patch-array.ts";
import { createPyramidalHornPattern } from "../synthesis/pyramidal-horn.ts";
import { measurePort } from "./measure-pattern.ts";

/** A description by dimensions. */
type Built = DishDescription | HornDescription | PatchArrayDescription | PyramidalHornDescription;

/** Gain and efficiency of the antenna with some of its losses. */
export interface LossRow {
  /** Only the aperture's own pattern; one part beside it; or every part that the description has. */
  counted: "aperture" | LossPart | "all";
  gainDbi: number;
  /** Main-beam efficiency: share of the power that leaves the antenna. */
  mainLobe: number;
  /** Share of the power that is fed: the loss of the feed counts. */
  mainLobeOfFed: number;
}

/** Main-beam efficiency by loss, of the vertical or -45 port at one frequency. */
export interface LossTable {
  frequencyGhz: number;
  rows: LossRow[];
}

const MEASURED_PORT: Port = 1;

const BUILT_KINDS: ReadonlySet<string> = new Set<Built["kind"]>(["dish", "patch-array", "horn", "pyramidal-horn"]);

/**
 * Returns the main-beam efficiency with the losses of an antenna one by one and together; null for an antenna that is
 * not built from dimensions. Main lobe and efficiency are those of `measurePort`; tapers and curved wave fronts belong to
 * the aperture.
 * @param pointer JSON pointer of the description, for errors. Throws as `createAntennaPattern` does.
 * Example: an evenly lit dish has 0.838 of its power in the main lobe (Airy); spillover at an edge taper of 11 dB
 * reduces that of a dish from 0.97 to 0.86.
 */
export function buildLossTable(description: AntennaDescription, frequencyGhz: number, pointer = ""): LossTable | null {
  if (!isBuilt(description)) return null;
  const counted = listPartsThatCount(description);
  const row = (name: LossRow["counted"], parts: readonly LossPart[]): LossRow => {
    const { peakGainDbi, efficiency } = measurePort(
      buildParts(description, frequencyGhz, pointer, new Set(parts)),
      MEASURED_PORT,
    );
    const mainLobe = efficiency?.mainLobe ?? Number.NaN;
    const lossDb = parts.includes("feed-loss") ? findLossDb(description) : 0;
    return { counted: name, gainDbi: peakGainDbi, mainLobe, mainLobeOfFed: mainLobe * toRatio(-lossDb) };
  };
  const single = counted.map((part) => row(part, [part]));
  const rows = [row("aperture", []), ...single, row("all", counted)];
  return { frequencyGhz, rows };
}

function isBuilt(description: AntennaDescription): description is Built {
  return BUILT_KINDS.has(description.kind);
}

/** Returns the losses that the description has and that cost something. */
function listPartsThatCount(description: Built): LossPart[] {
  const asked = listLossParts(description);
  const costs: Record<LossPart, boolean> = {
    spillover: description.kind === "dish",
    blockage: description.kind === "dish" && (description.blockageDiameterM ?? 0) > 0,
    "surface-errors": description.kind === "dish" && (description.surfaceRmsM ?? 0) > 0,
    "excitation-errors": description.kind === "patch-array",
    "feed-leakage": true,
    "mast-scatter": true,
    "feed-loss": findLossDb(description) > 0,
  };
  return [...asked].filter((part) => costs[part]);
}

function buildParts(description: Built, frequencyGhz: number, pointer: string, parts: LossParts): AntennaPattern {
  switch (description.kind) {
    case "dish":
      return createDishPattern(description, frequencyGhz, pointer, parts);
    case "horn":
      return createHornPattern(description, frequencyGhz, pointer, parts);
    case "pyramidal-horn":
      return createPyramidalHornPattern(description, frequencyGhz, pointer, parts);
    case "patch-array":
      return createPatchArrayPattern(description, frequencyGhz, pointer, parts);
  }
}

function findLossDb(description: Built): number {
  return (description.kind === "patch-array" ? description.feedLossDb : description.lossDb) ?? 0;
}
