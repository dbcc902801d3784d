import { type AntennaPattern, createAntennaPattern, refuseEnvelope } from "@fellmark/antenna";
import type { CoverageRequest } from "@fellmark/network";

/** Patterns of a request's antennas by id and frequency; each is built once. */
export interface Patterns {
  get(antenna: string, frequencyGhz: number): AntennaPattern;
}

/** Relative step of the frequencies that patterns are built for: lobes move by no more than half of it. */
const FREQUENCY_STEP = 0.01;

/**
 * Throws, on `get`, InputError that points to the antenna at fault: a description that cannot be built, or an envelope,
 * which would count side lobes that no antenna has.
 */
export function createPatterns(request: Pick<CoverageRequest, "antennas">): Patterns {
  const built = new Map<string, AntennaPattern>();
  return {
    get(antenna, frequencyGhz) {
      const step = Math.log1p(FREQUENCY_STEP);
      const roundedGhz = Math.exp(Math.round(Math.log(frequencyGhz) / step) * step);
      const key = JSON.stringify([antenna, roundedGhz]);
      const index = request.antennas.findIndex(({ id }) => id === antenna);
      const pointer = `/antennas/${index}`;
      const pattern = built.get(key) ?? createAntennaPattern(request.antennas[index], roundedGhz, pointer);
      refuseEnvelope(pattern, pointer);
      built.set(key, pattern);
      return pattern;
    },
  };
}
