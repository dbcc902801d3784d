import type { ModelSpec, SectorSpec } from "@fellmark/network";
import {
  CLUTTER_ROWS,
  computeEndClutterLossDb,
  computeStatisticalClutterLossDb,
  END_CLUTTER_MAX_GHZ,
  type EndClutterClass,
  PATH_CLUTTER_HEIGHT_M,
} from "@fellmark/propagation";

/** Clutter around an antenna. */
export interface ClutterAround {
  kind: EndClutterClass;
  heightM: number;
  /** True where a raster of heights tells it: by method path-clutter it then counts on the way, not at the end. */
  isMeasured: boolean;
}

/** Clutter around both ends of a link. */
export interface EndClutter {
  mast: ClutterAround;
  cpe: ClutterAround;
}

/** Clutter around the ends of a sector's links; of an emitter only that of the CPE counts. */
export type EndsOf = (sector: SectorSpec) => EndClutter;

export const UNKNOWN_CLUTTER: ClutterAround = { kind: "unknown", heightM: 0, isMeasured: false };

/**
 * Returns the clutter that the request states at both ends: one class for all; unknown where a statistic or rasters
 * tell it by place.
 * @param heights of the clutter at the ends where a survey tells them, m.
 */
export function findStatedClutter(
  { clutter }: Pick<ModelSpec, "clutter">,
  heights?: { mastM: number; cpeM: number },
): EndClutter {
  if (!("class" in clutter) || clutter.class === "statistical") return { mast: UNKNOWN_CLUTTER, cpe: UNKNOWN_CLUTTER };
  const { class: kind } = clutter;
  const heightM = clutter.heightM ?? CLUTTER_ROWS[kind].heightM;
  const of = (surveyedM: number | undefined) => ({ kind, heightM: surveyedM ?? heightM, isMeasured: false });
  return { mast: of(heights?.mastM), cpe: of(heights?.cpeM) };
}

/**
 * Returns the clutter that a raster shows at a place, as the loss at an end takes it. Nothing stands on open land and
 * water; the height that eq (2b) of P.2108-1 asks for there is that of the class, as where the request states it for
 * all places.
 */
export function toRasterClutter({ kind, heightM, isMeasured }: ClutterAround): ClutterAround {
  const isFlat = heightM === 0 && PATH_CLUTTER_HEIGHT_M[kind] === 0;
  return { kind, heightM: isFlat ? CLUTTER_ROWS[kind].heightM : heightM, isMeasured };
}

/** Depth below the tops of clutter from which an antenna counts as well below them, m. Common practice, no source. */
const WELL_BELOW_M = 5;

/** Range from which the statistical loss no longer rises, m. Source: ITU-R P.2108-1, section 3.2, eq (6). */
const STATISTICAL_RANGE_M = 2000;

/** The part of a model that the loss at an end depends on. */
export type EndClutterModel = Pick<ModelSpec, "method" | "foliage" | "vegetationLaw">;

/**
 * Law of the loss of an antenna among the clutter around it; null where it loses nothing. By method p1812 nothing costs
 * anything here, and measured clutter nothing by path-clutter: it stands on the way. Above 3 GHz open ground costs
 * nothing, since diffraction counts what enters the Fresnel zone, and an antenna well below the tops takes the statistics
 * of P.2108-1, section 3.2.
 */
export function findEndLaw(
  { method }: EndClutterModel,
  { kind, heightM, isMeasured }: ClutterAround,
  antennaHeightAglM: number,
  frequencyGhz: number,
): "p2108-terminal" | "p2108-statistical" | null {
  const { equation } = CLUTTER_ROWS[kind];
  if (method === "p1812" || (isMeasured && method === "path-clutter")) return null;
  if (equation === null || antennaHeightAglM >= heightM) return null;
  if (frequencyGhz <= END_CLUTTER_MAX_GHZ) return "p2108-terminal";
  if (equation === "2b") return null;
  return heightM - antennaHeightAglM >= WELL_BELOW_M ? "p2108-statistical" : "p2108-terminal";
}

/**
 * Loss of an antenna among the clutter around it, dB, by its law. Up to 3 GHz, where links were measured, trees let a ray
 * through; above, where none were, a wood costs what houses of its height cost, and never less.
 */
export function endClutterDb(
  model: EndClutterModel,
  around: ClutterAround,
  antennaHeightAglM: number,
  frequencyGhz: number,
): number {
  const law = findEndLaw(model, around, antennaHeightAglM, frequencyGhz);
  if (law === null) return 0;
  if (law === "p2108-statistical") return computeStatisticalClutterLossDb(STATISTICAL_RANGE_M, frequencyGhz, 0.5);
  const { kind, heightM: clutterHeightM } = around;
  const isStated = frequencyGhz <= END_CLUTTER_MAX_GHZ;
  const { foliage, vegetationLaw } = model;
  return computeEndClutterLossDb({
    class: kind === "trees" && !isStated ? "suburban" : kind,
    ...{ clutterHeightM, antennaHeightAglM, frequencyGhz, foliage, vegetationLaw },
  });
}

/** True where the request says what stands on the ground, if only by place. */
export function isClutterStated({ clutter }: ModelSpec): boolean {
  return !("class" in clutter) || clutter.class !== "unknown";
}

/** True where built-up country counts by its statistics. */
export function isStatistical({ clutter }: ModelSpec): boolean {
  return "class" in clutter && clutter.class === "statistical";
}

/** Loss of the CPE by them at a distance from the mast, dB; 0 unless the request asks for it. */
export function computeStatisticalCpeDb({ clutter }: ModelSpec, distanceM: number, frequencyGhz: number): number {
  if (!("class" in clutter) || clutter.class !== "statistical") return 0;
  return computeStatisticalClutterLossDb(distanceM, frequencyGhz, clutter.locationShare);
}
