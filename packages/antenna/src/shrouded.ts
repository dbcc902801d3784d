import type { AntennaPattern } from "./pattern.ts";
import { computeOffBoresightDeg } from "./reference/off-boresight.ts";

/** A shroud or screen: it lowers every level more than `fromDeg` off boresight by `reductionDb`. */
export interface Shroud {
  fromDeg: number;
  reductionDb: number;
}

/**
 * Returns the pattern behind a shroud. A stated change, not a field computation: the shroud absorbs power, so the gain
 * ahead stays and the mean over the sphere falls.
 */
export function createShroudedPattern(base: AntennaPattern, { fromDeg, reductionDb }: Shroud): AntennaPattern {
  const shrouded =
    (gain: AntennaPattern["gainDbi"]): AntennaPattern["gainDbi"] =>
    (azimuthDeg, elevationDeg, port) => {
      const held = computeOffBoresightDeg(azimuthDeg, elevationDeg) > fromDeg ? reductionDb : 0;
      return gain.call(base, azimuthDeg, elevationDeg, port) - held;
    };
  return {
    peakGainDbi: base.peakGainDbi,
    levels: base.levels,
    gainDbi: shrouded(base.gainDbi),
    ...(base.crossGainDbi && { crossGainDbi: shrouded(base.crossGainDbi) }),
  };
}
