import { type CoverageRequest, type CpeSpec, type ModelSpec, UNSTATED_TIMING } from "@fellmark/network";
import { STATED_RANGES } from "@fellmark/propagation";
import { POWER_RULES } from "@fellmark/radio";
import type { TerrainKind } from "@fellmark/terrain";
import type { PartLaw } from "./link/clutter-laws.ts";

/** A limit of a result that is not seen in its numbers; points to the field of the request that it concerns. */
export interface Warning {
  code: string;
  pointer: string;
  detail: string;
}

export const CLUTTER_UNKNOWN: Warning = {
  code: "clutter_unknown",
  pointer: "/model/clutter",
  detail: "trees and buildings are not known: survey before anything is sold or climbed",
};

export const TERRAIN_MAY_BE_SURFACE: Warning = {
  code: "terrain_may_be_surface",
  pointer: "/terrain/sets",
  detail: "the heights may be those of tree tops and roofs, under masts and subscribers too",
};

/** Warns how canopy was treated over terrain of these kinds. */
export function warnOfCanopy({ clutter }: ModelSpec, kinds: readonly TerrainKind[]): Warning[] {
  if ("class" in clutter || clutter.canopy === undefined) return [];
  const pointer = "/model/clutter/canopy";
  if (kinds.includes("surface")) {
    const detail = "the terrain is a surface: the canopy was taken off it, and is not added again";
    return [{ code: "canopy_on_surface", pointer, detail }];
  }
  if (!kinds.includes("unknown")) return [];
  const detail = "the terrain may be a surface that holds the canopy already; declare its kind in terrain.json";
  return [{ code: "canopy_perhaps_twice", pointer, detail }];
}

const PARTS = { mast: "at the mast", path: "on the way", cpe: "around the CPE" };

function describeExtrapolation({ part, law, source }: PartLaw): string {
  const { minGhz, maxGhz } = STATED_RANGES[law];
  const range = `${source}, is stated for ${minGhz} to ${maxGhz} GHz`;
  const kind = law === "p2108-statistical" ? ", and for houses" : "";
  return `the clutter loss ${PARTS[part]} is extrapolated: its source, ${range}${kind}`;
}

/** P.1812-6 is stated up to this frequency, GHz. Source: ITU-R P.1812-6, section 1. */
const DIFFRACTION_MAX_GHZ = 6;

/** Highest frequency of the usual bands of fixed access below 10 GHz; above it every result carries a caution. */
const CAUTION_ABOVE_GHZ = 7.125;

/** From this frequency rain fades more than multipath on usual paths, GHz. Common practice, no source. */
const RAIN_MATTERS_GHZ = 10;

/**
 * Warns of a model that is used beyond what its source states, or is changed by own measurements.
 * @param laws by which the result loses anything to clutter.
 */
export function warnOfMethod(
  { method, calibration, fading }: ModelSpec,
  highestGhz: number,
  laws: readonly PartLaw[],
): Warning[] {
  const warnings: Warning[] = [];
  const add = (code: string, pointer: string, detail: string) => warnings.push({ code, pointer, detail });
  if (method !== "end-clutter" && highestGhz > DIFFRACTION_MAX_GHZ) {
    add("method_extrapolated", "/model/method", `ITU-R P.1812-6 is stated to ${DIFFRACTION_MAX_GHZ} GHz`);
  }
  for (const law of laws.filter(({ isStated }) => !isStated)) {
    add("clutter_extrapolated", "/model/clutter", describeExtrapolation(law));
  }
  if (highestGhz > CAUTION_ABOVE_GHZ) {
    const detail = `free space and diffraction at ${highestGhz} GHz were not compared with measured links`;
    add("frequency_not_validated", "/sectors", detail);
  }
  if (highestGhz >= RAIN_MATTERS_GHZ && fading.rainMmPerHour === 0) {
    const detail = `rain is not counted at ${highestGhz} GHz, where it limits the range: state the rain rate in mm/h`;
    add("rain_not_counted", "/model/fading/rainMmPerHour", detail);
  }
  if (calibration) {
    const { version, validation } = calibration;
    const what = validation.applied ? "corrects every loss" : "is not used, since it did not help on links left out";
    add(
      validation.applied ? "calibration_applied" : "calibration_not_applied",
      "/model/calibration",
      `${version} ${what}`,
    );
  }
  return warnings;
}

/** Warns of a CPE on a roof or a wall where no raster tells what houses stand: it then stands over the ground. */
export function warnOfMount({ mount }: Pick<CpeSpec, "mount">, { clutter }: Pick<ModelSpec, "clutter">): Warning[] {
  const hasBuildings = !("class" in clutter) && clutter.buildings !== undefined;
  if (hasBuildings || mount === undefined || mount === "ground") return [];
  const detail = `no building heights are named, so a CPE on a ${mount} is computed at its height above ground: name a set of buildings in model.clutter`;
  return [{ code: "mount_without_buildings", pointer: "/cpe/mount", detail }];
}

/** Warns of sectors that state no timing group and are taken as synchronised; never of a single sector. */
export function warnOfTiming({ sectors }: Pick<CoverageRequest, "sectors">): Warning[] {
  const unstated = sectors.filter(({ timingGroup }) => timingGroup === UNSTATED_TIMING).length;
  if (unstated === 0 || sectors.length === 1) return [];
  const detail = `${unstated} of ${sectors.length} sectors state no timing group and are taken as synchronised: if they are not, their uplinks meet each other's downlinks`;
  return [{ code: "timing_not_stated", pointer: "/sectors", detail }];
}

/** Of a power rule whose text nobody read; nothing without a rule. */
export function warnOfRule(rule: string | null, pointer: string): Warning[] {
  const known = POWER_RULES.find(({ id }) => id === rule);
  if (!known || known.verified) return [];
  const detail = `"${known.id}" was not checked against its text: check your licence and local rules`;
  return [{ code: "rule_not_verified", pointer, detail }];
}
