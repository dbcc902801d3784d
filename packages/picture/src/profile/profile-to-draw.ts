/** The ground between a mast and a CPE, and the words of the picture. */
export interface ProfileToDraw {
  title: string;
  subtitle: string;
  frequencyGhz: number;
  /** Infinity draws a flat Earth. */
  effectiveEarthRadiusM: number;
  /** From the mast, at 0, to the CPE; rising; 2 or more. */
  distanceM: number[];
  /** One a distance; null where not known. */
  groundAmslM: (number | null)[];
  /** Height of clutter on the ground; null where not known, or altogether. */
  clutterHeightM: (number | null)[] | null;
  mast: { label: string; heightAglM: number };
  cpe: { label: string; heightAglM: number };
  /** Sentences on the line of sight and what is in its way, under the key. */
  sight: string;
  /** Places above the straight line from antenna to antenna. */
  blocking: BlockingPlace[];
  /** Warning under the picture. */
  caution: string;
}

export interface BlockingPlace {
  distanceM: number;
  heightAmslM: number;
  /** Height above the line, the Earth bulge included. */
  excessM: number;
}

/** Throws RangeError where the lists of a profile do not fit together. */
export function checkProfile({ distanceM, groundAmslM, clutterHeightM, ...profile }: ProfileToDraw): void {
  const count = distanceM.length;
  if (count < 2) throw new RangeError(`a profile needs 2 or more distances, got ${count}`);
  const isRising = distanceM.every((atM, index) => (index === 0 ? atM === 0 : atM > distanceM[index - 1]));
  if (!isRising || !Number.isFinite(distanceM[count - 1])) {
    throw new RangeError("distanceM must start at 0 and rise");
  }
  for (const list of [groundAmslM, clutterHeightM ?? groundAmslM]) {
    if (list.length !== count) throw new RangeError(`a profile of ${count} distances has ${list.length} heights`);
  }
  for (const name of ["frequencyGhz", "effectiveEarthRadiusM"] as const) {
    if (!(profile[name] > 0)) throw new RangeError(`${name} must be above 0, got ${profile[name]}`);
  }
}
