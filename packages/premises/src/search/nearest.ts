import { findGeodesic, type LonLat } from "@fellmark/geodesy";
import type { PremisesReader } from "@fellmark/ledger";
import type Flatbush from "flatbush";
import { around } from "geoflatbush";
import type { Premises } from "../premises.ts";

export interface NearPremises extends Premises {
  distanceM: number;
}

/** Extra candidates: the index uses a sphere, on which near equals may have another order. */
const SPARE = 4;

/** Returns the premises nearest to a point, nearest first, across the antimeridian too. */
export function findNearestPremises(list: PremisesReader, index: Flatbush, at: LonLat, count: number): NearPremises[] {
  const near = around(index, at.lon, at.lat, count + SPARE).map((position) => {
    const { words: _words, ...premises } = list.readAt(position);
    return { ...premises, distanceM: findGeodesic(at, premises).distanceM };
  });
  return near.sort((a, b) => a.distanceM - b.distanceM).slice(0, count);
}
