import { type AntennaPattern, createIsotropicPattern, type Pointing } from "@fellmark/antenna";
import type { CoverageRequest } from "@fellmark/network";
import { toRatio } from "@fellmark/units";
import { computeEmitterBaseDbm, type LinkBudget } from "./link-budget.ts";
import type { Patterns } from "./patterns.ts";
import { type Feed, hasUnequalPorts } from "./received-pattern.ts";

/** A transmitter of the request, apart from the place. */
export interface Transmitter {
  site: string | null;
  pattern: AntennaPattern;
  pointing: Pointing;
  feed: Feed;
  heightAglM: number;
  frequencyGhz: number;
  /** Level before antenna gain, path loss and gas, dBm. */
  baseDbm: number;
  gasDbPerKm: number;
}

/** The polarisation of an external emitter is not known: half of its power lies in either. */
const UNPOLARISED: Feed = { chains: 2, fromBasis: "hv", toBasis: "hv", rollDeg: 0 };

/** Antenna of an external emitter that states none. */
const EQUAL_EVERYWHERE = createIsotropicPattern(0);

/** Sectors in their order, then emitters. */
export function listTransmitters(
  request: CoverageRequest,
  patterns: Patterns,
  links: readonly LinkBudget[],
): Transmitter[] {
  const sectors = links.map(({ sector, frequencyGhz, down, gasDbPerKm }) => ({
    site: sector.site,
    pattern: patterns.get(sector.antenna, frequencyGhz),
    pointing: sector,
    feed: {
      chains: sector.chains,
      fromBasis: sector.polarisationBasis,
      toBasis: request.cpe.polarisationBasis,
      rollDeg: sector.rollDeg,
    },
    heightAglM: sector.heightAglM,
    frequencyGhz,
    baseDbm: down.baseDbm,
    gasDbPerKm,
  }));
  const emitters = request.emitters.map((emitter) => {
    const { antenna, azimuthDeg = 0, downtiltDeg = 0, heightAglM } = emitter;
    const frequencyGhz = emitter.channel.centreMhz / 1000;
    return {
      site: null,
      pattern: antenna === undefined ? EQUAL_EVERYWHERE : patterns.get(antenna, frequencyGhz),
      pointing: { azimuthDeg, downtiltDeg },
      feed: UNPOLARISED,
      heightAglM,
      frequencyGhz,
      baseDbm: computeEmitterBaseDbm(request, patterns, emitter),
      gasDbPerKm: links[0].gasDbPerKm,
    };
  });
  return [...sectors, ...emitters];
}

/** True where the two ports must be told apart anywhere. */
export function isSplit(transmitters: readonly Transmitter[], cpe: AntennaPattern): boolean {
  return (
    hasUnequalPorts(cpe) || transmitters.some(({ feed, pattern }) => feed.chains === 1 || hasUnequalPorts(pattern))
  );
}

/**
 * Gain that obstacles scatter into every direction, linear, by class of the path: what the pattern itself holds for its
 * mast counts once.
 */
export function computeScatteredGain(
  { obstacleCapDb }: CoverageRequest["model"],
  { peakGainDbi, scatteredGain = 0 }: Pick<AntennaPattern, "peakGainDbi" | "scatteredGain">,
  sight: "clear" | "grazing" | "blocked",
): number {
  return obstacleCapDb === null ? 0 : Math.max(0, toRatio(peakGainDbi - obstacleCapDb[sight]) - scatteredGain);
}
