import type { ModelSpec, SectorSpec } from "@fellmark/network";
import {
  CLUTTER_ROWS,
  type EndClutterClass,
  endClutterLossDb,
  PATH_CLUTTER_HEIGHT_M,
  statisticalClutterLossDb,
} from "@fellmark/propagation";

/** What stands on the ground around an antenna. */
export interface ClutterAround {
  kind: EndClutterClass;
  heightM: number;
}

/** What stands around both ends of a link. */
export interface EndClutter {
  mast: ClutterAround;
  cpe: ClutterAround;
}

/** What stands around the ends of a sector's links; of an emitter only that of the CPE counts. */
export type EndsOf = (sector: SectorSpec) => EndClutter;

export const UNKNOWN_CLUTTER: ClutterAround = { kind: "unknown", heightM: 0 };

/**
 * What the request says stands at both ends: one class for all; unknown where a statistic or rasters tell it by place.
 * @param heights of the clutter at the ends where a survey tells them, m.
 */
export function statedClutter(
  { clutter }: Pick<ModelSpec, "clutter">,
  heights?: { mastM: number; cpeM: number },
): EndClutter {
  if (!("class" in clutter) || clutter.class === "statistical") return { mast: UNKNOWN_CLUTTER, cpe: UNKNOWN_CLUTTER };
  const { class: kind } = clutter;
  const heightM = clutter.heightM ?? CLUTTER_ROWS[kind].heightM;
  return { mast: { kind, heightM: heights?.mastM ?? heightM }, cpe: { kind, heightM: heights?.cpeM ?? heightM } };
}

/**
 * What a raster says stands at a place, as the loss at an end takes it. Nothing stands on open land and water; the height
 * that eq (2b) of P.2108-1 asks for there is that of the class, as where the request states it for all places.
 */
export function rasterClutter({ kind, heightM }: ClutterAround): ClutterAround {
  const isFlat = heightM === 0 && PATH_CLUTTER_HEIGHT_M[kind] === 0;
  return { kind, heightM: isFlat ? CLUTTER_ROWS[kind].heightM : heightM };
}

/** Height of the stated clutter where it stands on the way of a path, m. */
export function statedPathClutterM({ clutter }: Pick<ModelSpec, "clutter">): number {
  if (!("class" in clutter) || clutter.class === "statistical") return 0;
  return clutter.heightM ?? PATH_CLUTTER_HEIGHT_M[clutter.class];
}

/** Loss of an antenna among clutter, dB; none by method p1812, where clutter stands in the way instead. */
export function endClutterDb(
  { method, foliage, vegetationLaw }: ModelSpec,
  { kind, heightM }: ClutterAround,
  antennaHeightAglM: number,
  frequencyGhz: number,
): number {
  if (method === "path-clutter") return 0;
  const trees = { foliage, vegetationLaw };
  return endClutterLossDb({ class: kind, clutterHeightM: heightM, antennaHeightAglM, frequencyGhz, ...trees });
}

/** Whether the request says what stands on the ground, if only by place. */
export function isClutterStated({ clutter }: ModelSpec): boolean {
  return !("class" in clutter) || clutter.class !== "unknown";
}

/** Whether built-up country counts by its statistics. */
export function isStatistical({ clutter }: ModelSpec): boolean {
  return "class" in clutter && clutter.class === "statistical";
}

/** Loss of the CPE by them at a distance from the mast, dB; 0 unless the request asks for it. */
export function statisticalCpeDb({ clutter }: ModelSpec, distanceM: number, frequencyGhz: number): number {
  if (!("class" in clutter) || clutter.class !== "statistical") return 0;
  return statisticalClutterLossDb(distanceM, frequencyGhz, clutter.locationShare);
}
