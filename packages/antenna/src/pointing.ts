import { DEG_PER_RAD, RAD_PER_DEG } from "@fellmark/units";
import type { AntennaPattern } from "./pattern.ts";

/** Orientation of a mounted antenna. */
export interface Pointing {
  /** Azimuth of boresight, clockwise from true north. */
  azimuthDeg: number;
  /** Mechanical tilt of boresight, positive down. */
  downtiltDeg: number;
  /** Turn about boresight, clockwise seen from behind the antenna: the right side goes down. */
  rollDeg?: number;
}

export interface Direction {
  azimuthDeg: number;
  elevationDeg: number;
}

/**
 * Converts a direction (azimuth from true north, elevation up) to the antenna's own frame: azimuth clockwise from
 * boresight, -180 to 180, elevation -90 to 90. A rotation in space, not a shift of the vertical angle.
 * Source: ITU-R F.1336-5, section 3.3 (mechanical tilt), with the roll added after it.
 * Example: an antenna tilted down by 5 degrees sees the horizon ahead at +5, behind at -5, aside at 0.
 */
export function toAntennaFrame(azimuthDeg: number, elevationDeg: number, pointing: Pointing): Direction {
  const azimuth = (azimuthDeg - pointing.azimuthDeg) * RAD_PER_DEG;
  const elevation = elevationDeg * RAD_PER_DEG;
  const tilt = pointing.downtiltDeg * RAD_PER_DEG;
  const roll = (pointing.rollDeg ?? 0) * RAD_PER_DEG;
  const ahead = Math.cos(elevation) * Math.cos(azimuth);
  const right = Math.cos(elevation) * Math.sin(azimuth);
  const up = Math.sin(elevation);
  const tiltedAhead = ahead * Math.cos(tilt) - up * Math.sin(tilt);
  const tiltedUp = ahead * Math.sin(tilt) + up * Math.cos(tilt);
  const rolledRight = right * Math.cos(roll) - tiltedUp * Math.sin(roll);
  const rolledUp = right * Math.sin(roll) + tiltedUp * Math.cos(roll);
  return {
    azimuthDeg: Math.atan2(rolledRight, tiltedAhead) * DEG_PER_RAD,
    elevationDeg: Math.atan2(rolledUp, Math.hypot(tiltedAhead, rolledRight)) * DEG_PER_RAD,
  };
}

/** Returns a pattern as mounted: the same gains by azimuth from true north and elevation above the horizon. */
export function aimPattern(pattern: AntennaPattern, pointing: Pointing): AntennaPattern {
  const aimed =
    (gain: AntennaPattern["gainDbi"]): AntennaPattern["gainDbi"] =>
    (azimuthDeg, elevationDeg, port) => {
      const seen = toAntennaFrame(azimuthDeg, elevationDeg, pointing);
      return gain.call(pattern, seen.azimuthDeg, seen.elevationDeg, port);
    };
  return {
    peakGainDbi: pattern.peakGainDbi,
    levels: pattern.levels,
    ...(pattern.scatteredGain !== undefined && { scatteredGain: pattern.scatteredGain }),
    gainDbi: aimed(pattern.gainDbi),
    ...(pattern.crossGainDbi && { crossGainDbi: aimed(pattern.crossGainDbi) }),
  };
}
