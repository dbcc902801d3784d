/** Radio-climatic zone of a point: sea, land near the coast (to 50 km and 100 m of height), other land. */
export type RadioZone = "sea" | "coastal-land" | "inland";

export interface ZoneLengths {
  /** Longest stretch over land of either kind, km: dtm. */
  longestLandKm: number;
  /** Longest stretch over inland, km: dlm. */
  longestInlandKm: number;
  /** Share of the path over sea, 0 to 1: omega. */
  seaFraction: number;
}

/**
 * Lengths of a path over land and sea; the zone changes halfway between points of different zones.
 * Source: ITU-R P.1812-6, sections 3.6 and 3.7 (tables 4, 5). Checked on its published b2iseac profile, where
 * dtm is 17.5 km, dlm 12.5 km, omega 0.90961.
 */
export function measureZones(distanceM: Float64Array, zones: readonly RadioZone[]): ZoneLengths {
  const longest = { land: 0, inland: 0 };
  let [landM, inlandM, seaM] = [0, 0, 0];
  for (const [i, zone] of zones.entries()) {
    const widthM = findLengthOfPointM(distanceM, i);
    landM = zone === "sea" ? 0 : landM + widthM;
    inlandM = zone === "inland" ? inlandM + widthM : 0;
    if (zone === "sea") seaM += widthM;
    longest.land = Math.max(longest.land, landM);
    longest.inland = Math.max(longest.inland, inlandM);
  }
  const pathM = distanceM[distanceM.length - 1];
  return {
    longestLandKm: longest.land / 1000,
    longestInlandKm: longest.inland / 1000,
    seaFraction: seaM / pathM,
  };
}

/** Length of path that a point represents, m: halfway to its neighbours. */
function findLengthOfPointM(distanceM: Float64Array, i: number): number {
  const before = distanceM[Math.max(i - 1, 0)];
  const after = distanceM[Math.min(i + 1, distanceM.length - 1)];
  return (after - before) / 2;
}
