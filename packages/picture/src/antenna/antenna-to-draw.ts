/** Side of the paper on which 0 degrees stand, and the turn in which the angle grows. */
export type Facing = "up-clockwise" | "right-anticlockwise";

/** One or two antennas, and what the picture says of them. */
export interface AntennaToDraw {
  title: string;
  /** Names of the antennas, in the order of the curves; two at most. */
  names: string[];
  planes: AntennaPlane[];
  /** Gain at the outermost ring, a multiple of 10. */
  outerDbi: number;
  /** A head, then a row each: what it is, then one value for every antenna. Two blanks before a first cell indent it. */
  table: string[][];
  /** Sentences under the table. */
  notes: string[];
}

export interface AntennaPlane {
  title: string;
  facing: Facing;
  /** Gain of each antenna, dBi, at equal steps of the angle around the circle, from -180 degrees on. */
  curvesDbi: Float64Array[];
}
