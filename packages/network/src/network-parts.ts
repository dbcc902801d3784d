import type { CoverageRequest, CpeSpec } from "./coverage-request.ts";

/** Parts that a coverage request and a network document have in common. */
export interface NetworkParts
  extends Pick<
    CoverageRequest,
    "sites" | "antennas" | "radios" | "sectors" | "plans" | "emitters" | "scans" | "isolations" | "subscribers"
  > {
  /** Every CPE with its pointer; `id` where subscribers may name it. */
  cpes: { pointer: string; cpe: CpeSpec; id?: string }[];
}
