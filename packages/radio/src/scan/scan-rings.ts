import { InputError } from "@fellmark/units";
import type { Channel } from "../channel-coupling.ts";
import type { Scan, ScanReading } from "./scan.ts";

/** Levels by bearing at one frequency. */
export interface ScanBin {
  centreMhz: number;
  /** The part of the resolution bandwidth that lies in the channel. */
  lowMhz: number;
  highMhz: number;
  /** Levels in the order of the bearings. */
  levelsDbm: Float64Array;
}

/** Part of a scan that overlaps a channel. */
export interface ScanRings {
  /** Bearings, rising, in equal steps; one gap among them may be wider. */
  azimuthDeg: Float64Array;
  stepDeg: number;
  resolutionMhz: number;
  /** At least one, rising in frequency. */
  bins: ScanBin[];
}

/** Tolerance between steps, degrees: bearings are rounded in scan files. */
const STEP_TOLERANCE_DEG = 0.1;

interface Placed extends ScanReading {
  pointer: string;
}

/**
 * Returns the readings of a scan whose bandwidth overlaps a channel, by frequency and bearing; null where there are
 * none.
 * @param pointer JSON pointer of the scan, for errors.
 * Throws InputError that names the reading where one occurs twice, where a frequency has only one bearing or lacks one
 * that another has, and where the steps between bearings differ.
 */
export function groupReadings(scan: Scan, channel: Channel, pointer: string): ScanRings | null {
  const placed = listReadingsInside(scan, channel, pointer);
  if (placed.length === 0) return null;
  const rings = groupByFrequency(placed);
  for (const ring of rings) refuseDuplicates(ring);
  for (const ring of rings) refuseOtherBearings(ring, rings[0]);
  return {
    azimuthDeg: Float64Array.from(rings[0], ({ azimuthDeg }) => azimuthDeg),
    stepDeg: findEqualStepDeg(rings[0]),
    resolutionMhz: scan.resolutionMhz,
    bins: rings.map((ring) => ({
      ...clipBin(ring[0].centreMhz, scan.resolutionMhz, channel),
      levelsDbm: Float64Array.from(ring, ({ levelDbm }) => levelDbm),
    })),
  };
}

/** Returns the readings in a channel, ordered by frequency, then bearing. */
function listReadingsInside({ readings, resolutionMhz }: Scan, channel: Channel, pointer: string): Placed[] {
  const placed: Placed[] = [];
  for (const [index, reading] of readings.entries()) {
    const { lowMhz, highMhz } = clipBin(reading.centreMhz, resolutionMhz, channel);
    if (lowMhz < highMhz) placed.push({ ...reading, pointer: `${pointer}/readings/${index}` });
  }
  return placed.sort((a, b) => a.centreMhz - b.centreMhz || a.azimuthDeg - b.azimuthDeg);
}

/** Returns one ring for each frequency, from readings that are ordered by it. */
function groupByFrequency(placed: readonly Placed[]): Placed[][] {
  const rings: Placed[][] = [];
  for (const reading of placed) {
    const ring = rings.at(-1);
    if (ring?.[0].centreMhz === reading.centreMhz) ring.push(reading);
    else rings.push([reading]);
  }
  return rings;
}

function clipBin(centreMhz: number, resolutionMhz: number, channel: Channel): Omit<ScanBin, "levelsDbm"> {
  return {
    centreMhz,
    lowMhz: Math.max(centreMhz - resolutionMhz / 2, channel.centreMhz - channel.widthMhz / 2),
    highMhz: Math.min(centreMhz + resolutionMhz / 2, channel.centreMhz + channel.widthMhz / 2),
  };
}

function refuseDuplicates(ring: readonly Placed[]): void {
  for (const [index, { azimuthDeg, centreMhz, pointer }] of ring.entries()) {
    if (index === 0 || azimuthDeg !== ring[index - 1].azimuthDeg) continue;
    refuse(pointer, `a second reading at ${azimuthDeg} degrees and ${centreMhz} MHz`, "one reading each");
  }
}

function refuseOtherBearings(ring: readonly Placed[], first: readonly Placed[]): void {
  for (let index = 0; index < Math.max(ring.length, first.length); index++) {
    if (ring[index]?.azimuthDeg === first[index]?.azimuthDeg) continue;
    const { azimuthDeg, centreMhz, pointer } = ring[index] ?? first[index];
    const other = ring[index] ? first[0].centreMhz : ring[0].centreMhz;
    refuse(pointer, `${centreMhz} MHz is read at ${azimuthDeg} degrees, ${other} MHz is not`, "the same bearings");
  }
}

/** Returns the step between neighbours; the widest gap may be the part of the horizon that was not scanned. */
function findEqualStepDeg(ring: readonly Placed[]): number {
  if (ring.length < 2) refuse(ring[0].pointer, "one bearing alone tells no direction", "2 or more bearings");
  const gaps = ring.map(({ azimuthDeg }, index) =>
    measureGapDeg(azimuthDeg, ring[(index + 1) % ring.length].azimuthDeg),
  );
  const widest = gaps.indexOf(Math.max(...gaps));
  const stepDeg = (360 - gaps[widest]) / (ring.length - 1);
  for (const [index, gapDeg] of gaps.entries()) {
    if (index === widest || Math.abs(gapDeg - stepDeg) <= STEP_TOLERANCE_DEG) continue;
    const next = ring[(index + 1) % ring.length];
    refuse(
      next.pointer,
      `${gapDeg} degrees after the bearing before, others about ${stepDeg.toFixed(1)}`,
      "equal steps",
    );
  }
  return stepDeg;
}

function measureGapDeg(fromDeg: number, toDeg: number): number {
  return toDeg > fromDeg ? toDeg - fromDeg : toDeg - fromDeg + 360;
}

function refuse(pointer: string, detail: string, limit: string): never {
  throw new InputError([{ pointer, detail, limit }]);
}
