import type { AntennaPattern } from "./pattern.ts";
import { offBoresightDeg } from "./reference/off-boresight.ts";

/** What a shroud or screen does: every level more than `fromDeg` off boresight falls by `reductionDb`. */
export interface Shroud {
  fromDeg: number;
  reductionDb: number;
}

/**
 * A stated change of a pattern, no field computation: what is held back is absorbed, so the gain ahead stays and the
 * mean over the sphere falls.
 */
export function shroudedPattern(base: AntennaPattern, { fromDeg, reductionDb }: Shroud): AntennaPattern {
  const shrouded =
    (gain: AntennaPattern["gainDbi"]): AntennaPattern["gainDbi"] =>
    (azimuthDeg, elevationDeg, port) => {
      const held = offBoresightDeg(azimuthDeg, elevationDeg) > fromDeg ? reductionDb : 0;
      return gain.call(base, azimuthDeg, elevationDeg, port) - held;
    };
  return {
    peakGainDbi: base.peakGainDbi,
    levels: base.levels,
    gainDbi: shrouded(base.gainDbi),
    ...(base.crossGainDbi && { crossGainDbi: shrouded(base.crossGainDbi) }),
  };
}
