import type { CoverageRequest, CpeSpec } from "../coverage-request.ts";

/** Something in a request or network that is allowed but looks like a slip. Nothing is repaired. */
export interface Finding {
  /** Stable, snake_case. */
  code: string;
  /** JSON pointer into the document. */
  pointer: string;
  /** Id of the site, sector, antenna, CPE, plan or subscriber. */
  row: string;
  /** The value and why it is conspicuous. */
  detail: string;
  likelyCause: string;
  suggestion: string;
  /** "error": the result will be wrong; "warning": probably; "hint": look once. */
  severity: "error" | "warning" | "hint";
}

/** The place that a finding is about. */
export type FindingRow = Pick<Finding, "pointer" | "row">;

/** The terrain that a document is checked against. */
export interface TerrainFacts {
  /** Of each site in order: height of the ground above sea, m; null where the terrain does not know it. */
  groundAmslM: (number | null)[];
  /** Of each site in order: true where the ground around it lies at sea level all over, as water does. */
  isWater: boolean[];
  /** Every set with the boxes of its files: west, south, east, north in degrees. */
  sets: { name: string; kind: string; boxes: [number, number, number, number][] }[];
}

/** The common parts of a coverage request and a network document. */
export interface CheckedParts
  extends Pick<
    CoverageRequest,
    "sites" | "antennas" | "radios" | "sectors" | "plans" | "emitters" | "scans" | "subscribers" | "model" | "terrain"
  > {
  cpes: (FindingRow & { spec: CpeSpec })[];
  /** Radius of the map; absent in a network. */
  radiusM?: number;
}
