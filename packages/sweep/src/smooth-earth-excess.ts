import { sphericalEarthLossDb } from "@fellmark/propagation";
import type { MastConstants, RadialState } from "./radial-state.ts";
import { smoothBullingtonDb } from "./smooth-path.ts";

/**
 * Half of the factor of the required clearance h_req = 17.456 sqrt(d1 d2 lambda / d), d in km (ITU-R P.1812-6
 * eq (25)), for d in m; raised by 2e-5 against rounding.
 */
const HALF_REQUIRED_CLEARANCE = (17.456 / Math.sqrt(1000) / 2) * 1.00002;

/**
 * Whether the spherical Earth can cost anything at effective heights h1, h2. It does not when
 * h1 h2 > (d^2 / (8 a_e) + 0.276 sqrt(lambda d))^2: by h1 (1 - u) + h2 u >= 2 sqrt(h1 h2 u (1 - u)) the clearance then
 * exceeds h_req at every point u of the path, so the loss of P.1812-6 section 4.3.3 is nil.
 */
export function mayFeelSmoothEarth(mast: MastConstants, x: number, h1: number, h2: number): boolean {
  const neededM =
    (mast.bulgeM * x * x) / 4 + HALF_REQUIRED_CLEARANCE * Math.sqrt(mast.wavelengthM * mast.stepM * x) + 1e-6;
  return !(h1 > 0 && h2 > 0 && h1 * h2 > neededM * neededM);
}

/**
 * max(Ldsph - Lbulls, 0) of ITU-R P.1812-6 eq (39), dB, for a cell at range x on `ground`, with the effective heights
 * of section 4.3.5 from the ends hst, hsr of the smooth-earth fit.
 */
export function smoothEarthExcessDb(
  radial: RadialState,
  mast: MastConstants,
  x: number,
  samples: number,
  ground: number,
  hstFit: number,
  hsrFit: number,
  tailDb: number,
): number {
  const hts = mast.antennaAmslM;
  const hrs = ground + mast.cpeHeightAglM;
  let hst = hstFit;
  let hsr = hsrFit;
  const chord = (hrs - hts) / x;
  const atMast = radial.mastSlopeBare[samples] - chord;
  if (atMast > 0) {
    let obstruction = 0;
    let atCpe = 0;
    for (let j = 1; j <= samples; j++) {
      const aboveM = radial.bare[j] - hts - chord * j;
      obstruction = Math.max(obstruction, aboveM);
      atCpe = Math.max(atCpe, aboveM / (x - j));
    }
    hst -= (obstruction * atMast) / (atMast + atCpe);
    hsr -= (obstruction * atCpe) / (atMast + atCpe);
  }
  const h1 = hts - Math.min(hst, mast.mastGroundM);
  const h2 = hrs - Math.min(hsr, ground);
  return mayFeelSmoothEarth(mast, x, h1, h2) ? beyondSmoothPathDb(mast, x, samples, h1, h2, tailDb) : 0;
}

function beyondSmoothPathDb(
  mast: MastConstants,
  x: number,
  samples: number,
  h1: number,
  h2: number,
  tailDb: number,
): number {
  const sphericalDb = sphericalEarthLossDb({
    distanceM: x * mast.stepM,
    txHeightM: h1,
    rxHeightM: h2,
    effectiveEarthRadiusM: mast.effectiveEarthRadiusM,
    wavelengthM: mast.wavelengthM,
    frequencyGhz: mast.frequencyGhz,
    polarisation: "vertical",
    seaFraction: 0,
  });
  if (sphericalDb <= 0) return 0;
  return Math.max(0, sphericalDb - smoothBullingtonDb(h1, h2, x, samples, mast.bulgeM, mast.nuScale, tailDb));
}
