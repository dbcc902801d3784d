import { knifeEdgeLossDb } from "@fellmark/propagation";
import { exactBullingtonDb, withTailDb } from "./loss-table.ts";

/** nu^2 from which the knife-edge loss is nil: J(nu) = 0 for nu <= -0.78. Source: ITU-R P.526-15 eq (31). */
export const NO_LOSS_NU2 = 0.78 * 0.78;

/**
 * Bullington loss over a smooth path (every height 0) in constant time, dB; equal to the maxima over the samples
 * 1..samples, because each of the functions has one peak and the samples beside it are tried.
 * Source: ITU-R P.1812-6 eqs (13)-(21) with g = 0, as (38) asks.
 * @param h1 h2 effective heights, m. @param x path length in steps. @param k step^2 / (2 a_e), m.
 * @param kn 2 / (step lambda), 1/m^2.
 */
export function smoothBullingtonDb(
  h1: number,
  h2: number,
  x: number,
  samples: number,
  k: number,
  kn: number,
  tailDb: number,
): number {
  const slope = (h2 - k * x * x - h1) / x;
  const a = largestSlope(h1, Math.sqrt(h1 / k), 0, 1, samples, k) - slope;
  if (a >= 0) {
    const b = largestSlope(h2, x - Math.sqrt(h2 / k), x, -1, samples, k) + 2 * k * x + slope;
    return exactBullingtonDb(kn * x * a * b, tailDb);
  }
  const root = clearanceRoot(h1, h2, x, k);
  const nu2 = leastNuSquared((x * (1 + root)) / 2, h1, slope, x, samples, k, kn);
  return nu2 >= NO_LOSS_NU2 ? 0 : withTailDb(knifeEdgeLossDb(-Math.sqrt(nu2)), tailDb);
}

/** The greater of -(k u + h / u) at the two samples beside `peak`, u being the distance in steps from `origin`. */
function largestSlope(h: number, peak: number, origin: number, sign: 1 | -1, samples: number, k: number): number {
  const low = Math.min(samples, Math.max(1, Math.floor(peak)));
  const high = Math.min(samples, Math.max(1, Math.ceil(peak)));
  const uLow = (low - origin) * sign;
  const uHigh = (high - origin) * sign;
  return Math.max(-(k * uLow + h / uLow), -(k * uHigh + h / uHigh));
}

/** Root b of the cubic of the point of least clearance. Source: ITU-R P.526-15 section 3.2, P.1812-6 eq (24). */
function clearanceRoot(h1: number, h2: number, x: number, k: number): number {
  const c = (h1 - h2) / (h1 + h2);
  const m = (k * x * x) / (2 * (h1 + h2));
  const inner = ((3 * c) / 2) * Math.sqrt((3 * m) / (m + 1) ** 3);
  return 2 * Math.sqrt((m + 1) / (3 * m)) * Math.cos(Math.PI / 3 + Math.acos(inner) / 3);
}

function leastNuSquared(
  peak: number,
  h1: number,
  slope: number,
  x: number,
  samples: number,
  k: number,
  kn: number,
): number {
  const low = Math.min(samples, Math.max(1, Math.floor(peak)));
  const high = Math.min(samples, Math.max(1, Math.ceil(peak)));
  const cLow = -k * low * low - h1 - slope * low;
  const cHigh = -k * high * high - h1 - slope * high;
  return kn * x * Math.min((cLow * cLow) / (low * (x - low)), (cHigh * cHigh) / (high * (x - high)));
}
