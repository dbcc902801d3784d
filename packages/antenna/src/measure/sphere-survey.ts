import { RAD_PER_DEG, toRatio } from "@fellmark/units";
import type { AntennaPattern, Port } from "../pattern.ts";
import { findLobeEdge } from "./main-lobe.ts";
import { type Direction, type Peak, setDirectionAlongRay } from "./peak-frame.ts";

/** Azimuths within half of the width about the peak, and a range of elevations. */
export interface ServiceWindow {
  azimuthWidthDeg: number;
  elevationFromDeg: number;
  elevationToDeg: number;
}

export interface Survey {
  peak: Peak;
  azimuthWidthDeg: number;
  elevationWidthDeg: number;
  window: ServiceWindow;
}

/** Shares of the power fed to a port (1 in all directions of a lossless antenna), both polarisations where known. */
export interface SpherePowers {
  total: number;
  mainLobe: number;
  /** Share inside the cone whose width is 2.5 half-power widths, elliptical where those of the two planes differ. */
  cone: number;
  window: number;
  /** Least co-polar over cross-polar level inside the half-power ellipse, dB; null: cross-polar not known. */
  crossPolarDb: number | null;
}

/** A ray every 1.5 degrees samples a side beam of 5 degrees three times. */
const RAYS = 240;
const CONE_HALF_POWER_WIDTHS = 2.5;
const COARSE_STEP_DEG = 1;

/** Returns the off-peak angles of the rings' borders: a twelfth of the narrower width near the peak, a degree beyond. */
function computeRingBorders({ azimuthWidthDeg, elevationWidthDeg }: Survey): Float64Array {
  const narrowDeg = Math.min(azimuthWidthDeg, elevationWidthDeg);
  const fineDeg = Math.min(Math.max(narrowDeg / 12, 0.02), COARSE_STEP_DEG);
  const fineRings = Math.min(Math.round((12 * narrowDeg) / fineDeg), Math.floor(180 / fineDeg));
  const coarseRings = Math.ceil((180 - fineRings * fineDeg) / COARSE_STEP_DEG);
  const coarseDeg = coarseRings > 0 ? (180 - fineRings * fineDeg) / coarseRings : 0;
  return Float64Array.from({ length: fineRings + coarseRings + 1 }, (_, ring) =>
    ring <= fineRings ? ring * fineDeg : fineRings * fineDeg + (ring - fineRings) * coarseDeg,
  );
}

/**
 * Returns, for every ray from the peak, the angle in degrees up to which the level falls; 180 where it never rises
 * again. The first ray is straight up, the rest follow clockwise.
 */
export function findLobeEnds(pattern: AntennaPattern, port: Port, survey: Survey, rays: number): Float64Array {
  const narrowDeg = Math.min(survey.azimuthWidthDeg, survey.elevationWidthDeg);
  const stepDeg = Math.min(Math.max(narrowDeg / 20, 0.05), 0.25);
  const offDeg = Float64Array.from({ length: Math.floor(180 / stepDeg) }, (_, step) => (step + 1) * stepDeg);
  const at: Direction = { azimuthDeg: 0, elevationDeg: 0 };
  return Float64Array.from({ length: rays }, (_, ray) => {
    const { minimumDeg } = findLobeEdge(offDeg, (step) => {
      setDirectionAlongRay(survey.peak, offDeg[step], (ray * 360) / rays, at);
      return pattern.gainDbi(at.azimuthDeg, at.elevationDeg, port) - survey.peak.gainDbi;
    });
    // The minimum lies within a step of the lowest sample: one step before it the level still falls.
    return minimumDeg < 180 ? minimumDeg - stepDeg : 180;
  });
}

/**
 * Returns the powers over the sphere, summed in cells of rays and rings about the peak, each with its exact solid angle.
 * Source: beam efficiency, IEEE Std 145; the edge of the main lobe as defined in `findLobeEdge`.
 * Accuracy: 0.2 % of an Airy pattern's main lobe.
 */
export function surveySphere(pattern: AntennaPattern, port: Port, survey: Survey): SpherePowers {
  const { peak, window } = survey;
  const borders = computeRingBorders(survey);
  const rings = borders.length - 1;
  const share = Float64Array.from({ length: rings }, (_, ring) => {
    const [inner, outer] = [borders[ring] * RAD_PER_DEG, borders[ring + 1] * RAD_PER_DEG];
    return (Math.cos(inner) - Math.cos(outer)) / (2 * RAYS);
  });
  const offDeg = Float64Array.from({ length: rings }, (_, ring) => (borders[ring] + borders[ring + 1]) / 2);
  const [levelDb, power] = [new Float64Array(rings), new Float64Array(rings)];
  const at: Direction = { azimuthDeg: 0, elevationDeg: 0 };
  const sums = { total: 0, mainLobe: 0, cone: 0, window: 0 };
  let leastDiscriminationDb = Number.POSITIVE_INFINITY;
  for (let ray = 0; ray < RAYS; ray++) {
    const rayDeg = ((ray + 0.5) * 360) / RAYS;
    const halfPowerDeg = computeEllipseRadiusDeg(survey, rayDeg);
    const coneDeg = Math.min(CONE_HALF_POWER_WIDTHS * halfPowerDeg, 180);
    for (let ring = 0; ring < rings; ring++) {
      setDirectionAlongRay(peak, offDeg[ring], rayDeg, at);
      const gainDbi = pattern.gainDbi(at.azimuthDeg, at.elevationDeg, port);
      levelDb[ring] = gainDbi - peak.gainDbi;
      power[ring] = toRatio(gainDbi);
      if (pattern.crossGainDbi) {
        const crossDbi = pattern.crossGainDbi(at.azimuthDeg, at.elevationDeg, port);
        power[ring] += toRatio(crossDbi);
        if (offDeg[ring] < halfPowerDeg) leastDiscriminationDb = Math.min(leastDiscriminationDb, gainDbi - crossDbi);
      }
      power[ring] *= share[ring];
      sums.total += power[ring];
      if (isInside(window, peak, at)) sums.window += power[ring];
    }
    const { edgeDeg } = findLobeEdge(offDeg, (ring) => levelDb[ring]);
    sums.mainLobe += sumPowerWithin(edgeDeg, borders, power);
    sums.cone += sumPowerWithin(coneDeg, borders, power);
  }
  return { ...sums, crossPolarDb: Number.isFinite(leastDiscriminationDb) ? leastDiscriminationDb : null };
}

/** Returns half of the half-power width along a ray: an ellipse through those of the two planes. */
function computeEllipseRadiusDeg({ azimuthWidthDeg, elevationWidthDeg }: Survey, rayDeg: number): number {
  const ray = rayDeg * RAD_PER_DEG;
  return 0.5 / Math.hypot(Math.cos(ray) / elevationWidthDeg, Math.sin(ray) / azimuthWidthDeg);
}

function isInside(window: ServiceWindow, peak: Peak, at: Direction): boolean {
  if (at.elevationDeg < window.elevationFromDeg || at.elevationDeg > window.elevationToDeg) return false;
  const asideDeg = Math.abs(at.azimuthDeg - peak.azimuthDeg);
  return Math.min(asideDeg, 360 - asideDeg) <= window.azimuthWidthDeg / 2;
}

/** Returns the sum of the rings up to an angle; the ring that contains it counts in proportion. */
function sumPowerWithin(limitDeg: number, borders: Float64Array, power: Float64Array): number {
  let sum = 0;
  for (let ring = 0; ring < power.length && borders[ring] < limitDeg; ring++) {
    sum += power[ring] * Math.min((limitDeg - borders[ring]) / (borders[ring + 1] - borders[ring]), 1);
  }
  return sum;
}
