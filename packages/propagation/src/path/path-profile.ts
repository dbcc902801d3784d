/**
 * Heights along one path, from the transmitter to the receiver. All three arrays have the same length, 2 or more
 * (the Recommendations ask for 3: at least one interior point).
 * `surfaceAmslM` is the surface that rays must pass (ground with clutter), `bareAmslM` the ground alone; one array may
 * serve as both. The two end points of both are the ground under the antennas. A height that is not known is NaN.
 */
export interface PathProfile {
  /** Distance from the transmitter, m: first 0, strictly rising. */
  distanceM: Float64Array;
  surfaceAmslM: Float64Array;
  bareAmslM: Float64Array;
}

/** Throws RangeError where the shape of a profile is not as PathProfile says; heights are not checked. */
export function checkProfileShape(profile: PathProfile): void {
  const { distanceM, surfaceAmslM, bareAmslM } = profile;
  const n = distanceM.length;
  if (n < 2) throw new RangeError(`a profile needs 2 or more points, got ${n}`);
  if (surfaceAmslM.length !== n || bareAmslM.length !== n) {
    throw new RangeError(`a profile of ${n} distances has ${surfaceAmslM.length} and ${bareAmslM.length} heights`);
  }
  if (distanceM[0] !== 0) throw new RangeError(`a profile starts at 0 m, got ${distanceM[0]}`);
  for (let i = 1; i < n; i++) {
    if (!(distanceM[i] > distanceM[i - 1])) throw new RangeError(`distances of a profile rise; point ${i} does not`);
  }
}

/** True where any height of the profile is missing (NaN). */
export function hasProfileGap(profile: PathProfile): boolean {
  const isMissing = (heightAmslM: number) => Number.isNaN(heightAmslM);
  return profile.surfaceAmslM.some(isMissing) || profile.bareAmslM.some(isMissing);
}
