import { computeWavelengthM } from "@fellmark/units";
import { tabulateBesselJ } from "../theory/bessel.ts";
import type { RoundSource } from "./round-pattern.ts";

/**
 * Field over a round mouth for a source polarised along y: E_y = even(r) - twofold(r) cos 2a and
 * E_x = twofold(r) sin 2a, with a from the x axis; r runs from 0 at the centre to 1 at the rim.
 */
export interface RoundApertureField {
  radiusM: number;
  even: (r: number) => number;
  twofold?: (r: number) => number;
  /** Phase lag behind the centre. */
  phaseRad?: (r: number) => number;
  /** Part of the radius that is blocked. */
  blockedTo?: number;
}

/**
 * Returns the far field of a round aperture, by integration over rings with the obliquity (1 + cos) / 2 of a Huygens source, so
 * that the back is smooth and low: I0 = integral of even J0 r dr, I2 = integral of twofold J2 r dr, E plane I0 - I2,
 * H plane I0 + I2.
 * Source: C. A. Balanis, Antenna Theory, 12.6 and 12.9. Valid for: diameters of a wavelength and more.
 */
export function createRoundApertureField(aperture: RoundApertureField, frequencyGhz: number): RoundSource["field"] {
  const rimRad = (2 * Math.PI * aperture.radiusM) / computeWavelengthM(frequencyGhz);
  const rings = sampleRings(aperture, rimRad);
  const J0 = tabulateBesselJ(0, rimRad);
  const J2 = tabulateBesselJ(2, rimRad);
  return (offRad, out) => {
    const sine = Math.abs(Math.sin(offRad)) * rimRad;
    let [evenRe, evenIm, twoRe, twoIm] = [0, 0, 0, 0];
    for (let i = 0; i < rings.place.length; i++) {
      const x = sine * rings.place[i];
      const j0 = J0(x);
      evenRe += rings.evenRe[i] * j0;
      evenIm += rings.evenIm[i] * j0;
      if (!aperture.twofold) continue;
      const j2 = J2(x);
      twoRe += rings.twoRe[i] * j2;
      twoIm += rings.twoIm[i] * j2;
    }
    const obliquity = (1 + Math.cos(offRad)) / 2;
    out[0] = obliquity * (evenRe - twoRe);
    out[1] = obliquity * (evenIm - twoIm);
    out[2] = obliquity * (evenRe + twoRe);
    out[3] = obliquity * (evenIm + twoIm);
  };
}

interface Rings {
  place: Float64Array;
  evenRe: Float64Array;
  evenIm: Float64Array;
  twoRe: Float64Array;
  twoIm: Float64Array;
}

/** Returns the rings with their fields times the weights of Simpson's rule and the radius. */
function sampleRings({ even, twofold, phaseRad, blockedTo = 0 }: RoundApertureField, rimRad: number): Rings {
  const turns = (rimRad + (phaseRad?.(1) ?? 0)) / Math.PI;
  const panels = 32 + 3 * Math.ceil(turns);
  const step = (1 - blockedTo) / (2 * panels);
  const parts = [0, 1, 2, 3, 4].map(() => new Float64Array(2 * panels + 1));
  const [place, evenRe, evenIm, twoRe, twoIm] = parts;
  for (let i = 0; i <= 2 * panels; i++) {
    const r = blockedTo + i * step;
    const end = i === 0 || i === 2 * panels;
    const weight = ((end ? 1 : i % 2 === 1 ? 4 : 2) * step * r) / 3;
    const phase = -(phaseRad?.(r) ?? 0);
    place[i] = r;
    evenRe[i] = weight * even(r) * Math.cos(phase);
    evenIm[i] = weight * even(r) * Math.sin(phase);
    if (!twofold) continue;
    twoRe[i] = weight * twofold(r) * Math.cos(phase);
    twoIm[i] = weight * twofold(r) * Math.sin(phase);
  }
  return { place, evenRe, evenIm, twoRe, twoIm };
}
