import { InputError } from "@fellmark/units";
import type { SectoralReferenceDescription } from "../description.ts";
import type { AntennaPattern } from "../pattern.ts";

/** Inputs of F.1336 for a sector antenna; kp, kh and kv are the letters of the source. */
export interface SectoralReference {
  gainDbi: number;
  azimuthWidthDeg: number;
  elevationWidthDeg: number;
  form: "peak" | "average";
  kp: number;
  kh: number;
  kv: number;
}

/** Side-lobe performance "improved" of the source, recommends 3.1.1 and 3.1.2. */
const IMPROVED_LOBES = { kp: 0.7, kh: 0.7, kv: 0.3 };

/** Limit of the vertical form: C of the source divides by log(22.5 / width). */
const WIDEST_ELEVATION_DEG = 22.5;

/**
 * Returns the elevation width that belongs to a gain and an azimuth width.
 * Source: ITU-R F.1336-5, recommends 3.3. Example: 17 dBi, 90 degrees: 6.87257 degrees.
 */
export function computeF1336ElevationWidthDeg(gainDbi: number, azimuthWidthDeg: number): number {
  return (31_000 * 10 ** (-0.1 * gainDbi)) / azimuthWidthDeg;
}

/** Gain in dBi by azimuth, -180 to 180, and elevation, -90 to 90. */
export type SectoralGain = (azimuthDeg: number, elevationDeg: number) => number;

/**
 * Returns the gain of a sector antenna, as the peaks of its side lobes or as their average.
 * Source: ITU-R F.1336-5, recommends 3.1.1 (peak) and 3.1.2 (average), 400 MHz to 6 GHz. The factor 10 in C follows
 * from continuity at 90 degrees over the elevation width.
 * Valid for: an elevation width under 22.5 degrees. Accuracy: mean over the sphere of 17 dBi, 90 degrees, improved:
 * 1.417 as peaks, 1.183 as average.
 * Example: 17 dBi, 90 x 6.873 degrees, improved, peak, at azimuth 60 and elevation 10: 1.803 dBi.
 */
export function createSectoralGain(reference: SectoralReference): SectoralGain {
  const { gainDbi, azimuthWidthDeg } = reference;
  const rearDb = computeRearLevelDb(reference);
  const horizontal = (x: number): number => Math.max(computeHorizontalLevelDb(x, reference.kh), rearDb);
  const vertical = createVerticalLevel(reference, rearDb);
  const behindDb = horizontal(180 / azimuthWidthDeg);
  return (azimuthDeg, elevationDeg) => {
    const aside = horizontal(Math.abs(azimuthDeg) / azimuthWidthDeg);
    const compression = (aside - behindDb) / -behindDb;
    return gainDbi + aside + compression * vertical(Math.abs(elevationDeg));
  };
}

/** Returns 12 dB of the peak form, 15 dB in the average form. */
function findDropDb({ form }: SectoralReference): number {
  return form === "peak" ? 12 : 15;
}

/** Returns G_180 of the source, dB relative to the peak. */
function computeRearLevelDb(reference: SectoralReference): number {
  const { kp, elevationWidthDeg } = reference;
  return -findDropDb(reference) + 10 * Math.log10(1 + 8 * kp) - 15 * Math.log10(180 / elevationWidthDeg);
}

/** Returns G_hr of the source at x = |azimuth| / width. */
function computeHorizontalLevelDb(x: number, kh: number): number {
  if (x <= 0.5) return -12 * x ** 2;
  return -12 * x ** (2 - kh) - 3 * (1 - 0.5 ** -kh);
}

/** Returns G_vr of the source by |elevation| in degrees. */
function createVerticalLevel(reference: SectoralReference, rearDb: number): (elevationDeg: number) => number {
  const { form, kp, kv, elevationWidthDeg: width } = reference;
  const drop = findDropDb(reference);
  const shoulder = form === "peak" ? Math.sqrt(1 - 0.36 * kv) : Math.sqrt(1.33 - 0.33 * kv);
  const C =
    (10 * Math.log10(((180 / width) ** 1.5 * (4 ** -1.5 + kv)) / (1 + 8 * kp))) /
    Math.log10(WIDEST_ELEVATION_DEG / width);
  const lambda = drop - C * Math.log10(4) - 10 * Math.log10(4 ** -1.5 + kv);
  return (elevationDeg) => {
    const x = elevationDeg / width;
    if (x < shoulder) return -12 * x ** 2;
    if (x < 4) return -drop + 10 * Math.log10(x ** -1.5 + kv);
    if (x < 90 / width) return -lambda - C * Math.log10(x);
    return rearDb;
  };
}

/**
 * Returns the elevation at which the untilted pattern is read: electrical downtilt lowers the beam at every azimuth.
 * Source: ITU-R F.1336-5, recommends 3 (electrical tilt). Example: tilt 4: 0 gives 3.83, -4 gives 0, 90 gives 90.
 */
export function tiltElectricallyDeg(elevationDeg: number, downtiltDeg: number): number {
  const sum = elevationDeg + downtiltDeg;
  return (90 * sum) / (sum >= 0 ? 90 + downtiltDeg : 90 - downtiltDeg);
}

/**
 * Returns the pattern of a description, with improved side lobes.
 * Throws InputError below `pointer` above 6 GHz, and where the beam is 22.5 degrees high or more.
 */
export function createSectoralReferencePattern(
  description: SectoralReferenceDescription,
  frequencyGhz: number,
  pointer: string,
): AntennaPattern {
  const { gainDbi, azimuthWidthDeg, form, electricalDowntiltDeg = 0 } = description;
  const elevationWidthDeg = description.elevationWidthDeg ?? computeF1336ElevationWidthDeg(gainDbi, azimuthWidthDeg);
  checkRange(frequencyGhz, elevationWidthDeg, pointer);
  const gain = createSectoralGain({ gainDbi, azimuthWidthDeg, elevationWidthDeg, form, ...IMPROVED_LOBES });
  return {
    peakGainDbi: gainDbi,
    levels: form === "peak" ? "envelope" : "average",
    gainDbi: (azimuthDeg, elevationDeg) => gain(azimuthDeg, tiltElectricallyDeg(elevationDeg, electricalDowntiltDeg)),
  };
}

function checkRange(frequencyGhz: number, elevationWidthDeg: number, pointer: string): void {
  if (!(frequencyGhz >= 0.4 && frequencyGhz <= 6)) {
    const detail = `F.1336 is used from 0.4 to 6 GHz, not at ${frequencyGhz} GHz`;
    throw new InputError([{ pointer, detail, limit: "0.4 to 6 GHz" }]);
  }
  if (!(elevationWidthDeg < WIDEST_ELEVATION_DEG)) {
    const detail = `the elevation width must be under 22.5 degrees, got ${elevationWidthDeg.toFixed(2)}`;
    throw new InputError([{ pointer: `${pointer}/elevationWidthDeg`, detail, limit: WIDEST_ELEVATION_DEG }]);
  }
}
