import type { SiteSpec } from "../coverage-request.ts";

/** Something in a network that is allowed but looks like a slip of the sheet it came from. Nothing is repaired. */
export interface Finding {
  code: string;
  /** JSON pointer into the document. */
  pointer: string;
  /** Id of the site, sector, antenna, CPE or subscriber. */
  row: string;
  detail: string;
  likelyCause: string;
  suggestion: string;
  /** "error": the result will be wrong; "warning": probably; "hint": look once. */
  severity: "error" | "warning" | "hint";
}

/** What is known besides the document. */
export interface KnownGround {
  /** Height of the ground above sea, metres; null where the terrain does not know it; absent: nobody asked. */
  groundAmslM?: (site: SiteSpec) => number | null;
}
