import { type AntennaPattern, cutsPattern, isotropicPattern, tr38901Pattern } from "@fellmark/antenna";
import type { AntennaSpec, CoverageRequest } from "@fellmark/network";

/** Patterns of a request's antennas by id. Throws InputError that points to the cut at fault. */
export function patternsOf(request: CoverageRequest): Map<string, AntennaPattern> {
  return new Map(request.antennas.map((antenna, index) => [antenna.id, patternOf(antenna, `/antennas/${index}`)]));
}

function patternOf(antenna: AntennaSpec, pointer: string): AntennaPattern {
  switch (antenna.kind) {
    case "isotropic":
      return isotropicPattern(antenna.gainDbi);
    case "tr38901":
      return tr38901Pattern();
    case "cuts":
      return cutsPattern(antenna, pointer);
  }
}
