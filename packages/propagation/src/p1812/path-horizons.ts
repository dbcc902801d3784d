export interface HorizonInput {
  /** Distance from the transmitter, m: first 0, strictly rising, 3 points or more. */
  distanceM: Float64Array;
  bareAmslM: Float64Array;
  /** Antenna heights above sea level, m. */
  txAmslM: number;
  rxAmslM: number;
  effectiveEarthRadiusM: number;
  wavelengthM: number;
}

export interface EndHorizon {
  /** Elevation of the ray at this antenna, mrad: theta_t or theta_r. */
  elevationMrad: number;
  /** Distance from this antenna to its horizon, km: dlt or dlr. */
  distanceKm: number;
  /** Index of the horizon in the profile. */
  point: number;
}

export interface PathHorizons {
  transHorizon: boolean;
  tx: EndHorizon;
  rx: EndHorizon;
}

/**
 * Horizons of both antennas over bare ground. On a path in sight both share the point of greatest diffraction
 * parameter, and the elevations are those of the straight line.
 * Source: ITU-R P.1812-6, Attachment 1, sections 4 and 5.1 to 5.4, eqs (76) to (81a).
 * Valid for: one interior point or more.
 */
export function findPathHorizons(input: HorizonInput): PathHorizons {
  const { distanceM, txAmslM, rxAmslM, effectiveEarthRadiusM } = input;
  const last = distanceM.length - 1;
  const straight = (riseM: number) => computeElevationMrad(riseM, distanceM[last], effectiveEarthRadiusM);
  const tx = findHorizon(input, "transmitter");
  const transHorizon = tx.elevationMrad > straight(rxAmslM - txAmslM);
  if (transHorizon) return { transHorizon, tx, rx: findHorizon(input, "receiver") };
  const point = findPointOfGreatestNu(input);
  const fromTxKm = distanceM[point] / 1000;
  const fromRxKm = distanceM[last] / 1000 - fromTxKm;
  return {
    transHorizon,
    tx: { elevationMrad: straight(rxAmslM - txAmslM), distanceKm: fromTxKm, point },
    rx: { elevationMrad: straight(txAmslM - rxAmslM), distanceKm: fromRxKm, point },
  };
}

/** Eqs (76), (77), (80), (81): the interior point that an antenna sees highest, the nearest of equal ones. */
function findHorizon(input: HorizonInput, from: "transmitter" | "receiver"): EndHorizon {
  const { distanceM, bareAmslM, effectiveEarthRadiusM } = input;
  const last = distanceM.length - 1;
  const eyeAmslM = from === "transmitter" ? input.txAmslM : input.rxAmslM;
  let highest: EndHorizon = { elevationMrad: -Infinity, distanceKm: 0, point: 0 };
  for (let step = 1; step < last; step++) {
    const i = from === "transmitter" ? step : last - step;
    const awayM = from === "transmitter" ? distanceM[i] : distanceM[last] - distanceM[i];
    const angleMrad = computeElevationMrad(bareAmslM[i] - eyeAmslM, awayM, effectiveEarthRadiusM);
    if (angleMrad > highest.elevationMrad) {
      highest = { elevationMrad: angleMrad, distanceKm: awayM / 1000, point: i };
    }
  }
  return highest;
}

/** Eq (79): where the ground comes nearest to the sight line, measured in Fresnel zones. */
function findPointOfGreatestNu(input: HorizonInput): number {
  const { distanceM, bareAmslM, txAmslM, rxAmslM, effectiveEarthRadiusM, wavelengthM } = input;
  const last = distanceM.length - 1;
  const pathM = distanceM[last];
  let [point, greatest] = [1, -Infinity];
  for (let i = 1; i < last; i++) {
    const [d1, d2] = [distanceM[i], pathM - distanceM[i]];
    const overM = bareAmslM[i] + (d1 * d2) / (2 * effectiveEarthRadiusM) - (txAmslM * d2 + rxAmslM * d1) / pathM;
    const nu = overM * Math.sqrt((2 * pathM) / (wavelengthM * d1 * d2));
    if (nu > greatest) [point, greatest] = [i, nu];
  }
  return point;
}

/** Elevation of a point `riseM` higher and `awayM` away over the effective Earth, mrad. */
function computeElevationMrad(riseM: number, awayM: number, effectiveEarthRadiusM: number): number {
  return 1000 * Math.atan(riseM / awayM - awayM / (2 * effectiveEarthRadiusM));
}
