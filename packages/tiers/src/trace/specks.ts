import { computeCellAreaM2, type LatticeWindow } from "@fellmark/geodesy";
import { TIER_CLASS } from "../tier-class.ts";
import { findRegions, type Regions } from "./regions.ts";

/**
 * A copy of the classes in which a region of a plan smaller than `speckAreaM2` (ground) has become part of the lower
 * tier that it borders most, the lowest of equals. Nothing is ever promoted: a speck with only better plans, cells
 * not known or cells outside around it stays, and so do specks without service.
 * Tiers run from 1, which promises most. They go from best to last, so what merges into the next counts toward its own regions.
 */
export function mergeSpecks(
  window: LatticeWindow,
  classes: Uint8Array,
  tierCount: number,
  speckAreaM2: number,
): Uint8Array {
  const merged = classes.slice();
  if (speckAreaM2 <= 0) return merged;
  const occurs = new Uint8Array(256);
  for (const tier of classes) occurs[tier] = 1;
  for (let tier = 1; tier <= tierCount; tier++) {
    if (occurs[tier] === 1) mergeSpecksOfTier(window, merged, tier, tierCount, speckAreaM2);
  }
  return merged;
}

function mergeSpecksOfTier(
  window: LatticeWindow,
  classes: Uint8Array,
  tier: number,
  tierCount: number,
  speckAreaM2: number,
): void {
  const regions = findRegions({ width: window.width, height: window.height, classes }, (one) => one === tier);
  const areaM2 = computeRegionAreasM2(window, regions);
  const votesOfRegion = new Map<number, Int32Array>();
  forEachRun(regions, (run, row) => {
    const region = regions.region[run];
    if (areaM2[region] >= speckAreaM2) return;
    const votes = votesOfRegion.get(region) ?? new Int32Array(256);
    votesOfRegion.set(region, votes);
    countNeighbours(window, classes, regions.start[run], regions.end[run], row, votes);
  });
  const lowerTier = new Map<number, number>();
  for (const [region, votes] of votesOfRegion) lowerTier.set(region, findMostBorderedBelow(votes, tier, tierCount));
  forEachRun(regions, (run, row) => {
    const to = lowerTier.get(regions.region[run]);
    const base = row * window.width;
    if (to !== undefined) classes.fill(to, base + regions.start[run], base + regions.end[run]);
  });
}

function computeRegionAreasM2(window: LatticeWindow, regions: Regions): Float64Array {
  const areaM2 = new Float64Array(regions.count);
  const cellM2 = Float64Array.from({ length: window.height }, (_, row) =>
    computeCellAreaM2(window.row0 + row, window.zoom),
  );
  forEachRun(regions, (run, row) => {
    areaM2[regions.region[run]] += (regions.end[run] - regions.start[run]) * cellM2[row];
  });
  return areaM2;
}

function forEachRun(regions: Regions, visit: (run: number, row: number) => void): void {
  for (let row = 0; row + 1 < regions.rowRuns.length; row++) {
    for (let run = regions.rowRuns[row]; run < regions.rowRuns[row + 1]; run++) visit(run, row);
  }
}

/** Adds the cells beside a run, above it and below it to the votes for their classes. */
function countNeighbours(
  { width, height }: LatticeWindow,
  classes: Uint8Array,
  start: number,
  end: number,
  row: number,
  votes: Int32Array,
): void {
  const base = row * width;
  if (start > 0) votes[classes[base + start - 1]]++;
  if (end < width) votes[classes[base + end]]++;
  for (let column = start; column < end; column++) {
    if (row > 0) votes[classes[base - width + column]]++;
    if (row + 1 < height) votes[classes[base + width + column]]++;
  }
}

/** The lower tier with the most votes, the lowest of equals; `tier` itself where there is none. */
function findMostBorderedBelow(votes: Int32Array, tier: number, tierCount: number): number {
  let best = votes[TIER_CLASS.noService] > 0 ? TIER_CLASS.noService : tier;
  for (let lower = tierCount; lower > tier; lower--) {
    if (votes[lower] > (best === tier ? 0 : votes[best])) best = lower;
  }
  return best;
}
