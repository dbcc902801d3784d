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

/** Depth below the tops of houses from which an antenna counts as well below them, m. Common practice, no source. */
const WELL_BELOW_M = 5;

/** Range from which the statistical loss no longer rises, m. Source: ITU-R P.2108-1, section 3.2, eq (6). */
const STATISTICAL_RANGE_M = 2000;

/**
 * Loss of an antenna among the clutter around it, dB. By method p1812 nothing costs anything here, and measured
 * clutter nothing by path-clutter: it stands on the way. Above 3 GHz open ground costs nothing, since diffraction counts what enters the Fresnel zone, and
 * an antenna well below houses takes the median of P.2108-1, section 3.2, at its greatest.
 */
export function endClutterDb(
  { method, foliage, vegetationLaw }: ModelSpec,
  { kind, heightM, isMeasured }: ClutterAround,
  antennaHeightAglM: number,
  frequencyGhz: number,
): number {
  if (method === "p1812" || (isMeasured && method === "path-clutter")) return 0;
  if (frequencyGhz > END_CLUTTER_MAX_GHZ) {
    if (CLUTTER_ROWS[kind].equation === "2b") return 0;
    if (isBuilt(kind) && heightM - antennaHeightAglM >= WELL_BELOW_M) {
      return computeStatisticalClutterLossDb(STATISTICAL_RANGE_M, frequencyGhz, 0.5);
    }
  }
  const trees = { foliage, vegetationLaw };
  return computeEndClutterLossDb({ class: kind, clutterHeightM: heightM, antennaHeightAglM, frequencyGhz, ...trees });
}

function isBuilt(kind: EndClutterClass): boolean {
  return kind === "suburban" || kind === "urban" || kind === "dense-urban";
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
