import { type ClutterAround, endClutterDb, isStatistical, statisticalCpeDb } from "@fellmark/coverage";
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
  /** What stands around the CPE, and whether that is known. */
  clutter: ClutterAround;
  isClutterKnown: boolean;
}

/** The CPE mounted at a height; what it loses by clutter is asked for the same few frequencies over and over. */
export function mountedCpe({ request }: CpeView, { clutter }: Pick<Place, "clutter">, heightAglM: number): MountedCpe {
  const { model } = request;
  if (isStatistical(model)) {
    return { heightAglM, clutterDb: (frequencyGhz, distanceM) => statisticalCpeDb(model, distanceM, frequencyGhz) };
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
