import { aimPattern } from "@fellmark/antenna";
import type { CoverageRequest, SectorSpec } from "@fellmark/network";
import { toDb } from "@fellmark/units";
import { findChannelOverlap } from "../link/overlap.ts";
import { createPatterns, type Patterns } from "../link/patterns.ts";

/** Two neighbouring sectors of one mast, where their gains are equal. */
export interface Overlap {
  sectors: [string, string];
  /** True azimuth of equal gain between them. */
  azimuthDeg: number;
  isSameChannel: boolean;
  /**
   * C/I of the stronger over the other, off the co-channel overlap toward the first; on the channels as they are, and
   * on one channel.
   */
  places: { offDeg: number; ciDb: number; ciOnOneChannelDb: number }[];
}

const OFFSETS_DEG = [0, 5, 10, 20];
const SEARCH_STEP_DEG = 0.1;

/**
 * Co-channel overlaps of all sites with two sectors or more: path loss cancels there, so gains and channels alone
 * decide. At elevation 0, with equal power. Example: two antennas of 90 degrees, 90 degrees apart on one channel: 0 dB
 * at the co-channel overlap, about 5 dB 20 degrees off it.
 */
export function buildOverlapTable(request: CoverageRequest): Overlap[] {
  const patterns = createPatterns(request);
  return request.sites.flatMap(({ id }) => {
    const around = request.sectors.filter(({ site }) => site === id).sort((a, b) => a.azimuthDeg - b.azimuthDeg);
    return around.flatMap((one, at) => {
      const next = around[(at + 1) % around.length];
      return isBeside(one, next) ? [findPairOverlap(request, patterns, one, next)] : [];
    });
  });
}

/** Half a turn or less on, clockwise; sectors that look one way have no co-channel overlap. */
function isBeside(one: SectorSpec, next: SectorSpec): boolean {
  const onDeg = computeClockwiseDeg(one, next);
  return onDeg > 0 && onDeg <= 180;
}

function computeClockwiseDeg(from: SectorSpec, to: SectorSpec): number {
  return (to.azimuthDeg - from.azimuthDeg + 360) % 360;
}

function findPairOverlap(request: CoverageRequest, patterns: Patterns, one: SectorSpec, next: SectorSpec): Overlap {
  const leadDb = (azimuthDeg: number) => gainDbi(patterns, one, azimuthDeg) - gainDbi(patterns, next, azimuthDeg);
  const azimuthDeg = findOverlapAzimuthDeg(leadDb, one.azimuthDeg, computeClockwiseDeg(one, next));
  const victim = request.sectors.indexOf(one);
  const couplingDb = toDb(findChannelOverlap(request, victim).shareDown[request.sectors.indexOf(next)]);
  return {
    sectors: [one.id, next.id],
    azimuthDeg: azimuthDeg % 360,
    isSameChannel: one.channel.centreMhz === next.channel.centreMhz && one.channel.widthMhz === next.channel.widthMhz,
    places: OFFSETS_DEG.map((offDeg) => {
      const ciOnOneChannelDb = leadDb(azimuthDeg - offDeg);
      return { offDeg, ciDb: ciOnOneChannelDb - couplingDb, ciOnOneChannelDb };
    }),
  };
}

function gainDbi(patterns: Patterns, sector: SectorSpec, azimuthDeg: number): number {
  const pattern = patterns.get(sector.antenna, sector.channel.centreMhz / 1000);
  return aimPattern(pattern, sector).gainDbi(azimuthDeg, 0, 0);
}

/** Returns the azimuth at which the lead of the first sector ends on the way to the next; half way if it never does. */
function findOverlapAzimuthDeg(leadDb: (azimuthDeg: number) => number, fromDeg: number, betweenDeg: number): number {
  let before = leadDb(fromDeg);
  for (let offDeg = SEARCH_STEP_DEG; offDeg <= betweenDeg; offDeg += SEARCH_STEP_DEG) {
    const now = leadDb(fromDeg + offDeg);
    if (now <= 0) return fromDeg + offDeg - SEARCH_STEP_DEG * (before === now ? 0 : now / (now - before));
    before = now;
  }
  return fromDeg + betweenDeg / 2;
}
