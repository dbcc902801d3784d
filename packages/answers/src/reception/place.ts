import {
  type ClutterAround,
  computeStatisticalCpeDb,
  endClutterDb,
  findMountedHeightM,
  isStatistical,
} from "@fellmark/coverage";
import type { LonLat } from "@fellmark/geodesy";
import type { FarField } from "../interference/far-field.ts";
import type { CpeView } from "../scene/scene.ts";
import type { MountedCpe } from "./reception.ts";
import type { Route } from "./route.ts";

/** A place, before any height of the CPE is chosen. */
export interface Place {
  /** Null for the end of a profile without coordinates. */
  at: LonLat | null;
  /** From every station within the service radius. */
  routes: Route[];
  /** Everybody else; null where nobody is. */
  far: FarField | null;
  /** Clutter around the CPE, and whether that is known. */
  clutter: ClutterAround;
  isClutterKnown: boolean;
  /** Height of the building that is known at the place, m above ground; 0 without one. */
  roofM: number;
}

/**
 * The CPE mounted at a height, which a known roof raises; what it loses by clutter is asked for the same few frequencies
 * over and over.
 */
export function mountCpe(
  { request }: CpeView,
  { clutter, roofM }: Pick<Place, "clutter" | "roofM">,
  askedHeightM: number,
): MountedCpe {
  const { model } = request;
  const heightAglM = findMountedHeightM(request.cpe, askedHeightM, roofM);
  if (isStatistical(model)) {
    return {
      heightAglM,
      clutterDb: (frequencyGhz, distanceM) => computeStatisticalCpeDb(model, distanceM, frequencyGhz),
    };
  }
  const known = new Map<number, number>();
  return {
    heightAglM,
    clutterDb(frequencyGhz) {
      const lossDb = known.get(frequencyGhz) ?? endClutterDb(model, clutter, heightAglM, frequencyGhz);
      known.set(frequencyGhz, lossDb);
      return lossDb;
    },
  };
}
