import { MEAN_EARTH_RADIUS_KM, TerrainError } from "@fellmark/units";
import {
  computeDeltaBullington,
  type DiffractionInput,
  type DiffractionResult,
} from "../diffraction/delta-bullington.ts";
import type { Polarisation } from "../diffraction/spherical-earth.ts";
import { computeEffectiveEarthRadiusKm } from "../path/effective-earth.ts";
import { checkProfileShape, hasProfileGap, type PathProfile } from "../path/path-profile.ts";
import { type CombinedLoss, combineLosses, type SubModelLosses } from "./combination.ts";
import { computeDuctingLossDb } from "./ducting.ts";
import { computePrescribedInverseNormal } from "./inverse-normal.ts";
import { computeLineOfSightLossDb, computeSlantFreeSpaceLossDb, type LineOfSightInput } from "./line-of-sight.ts";
import { findPathParameters, type PathParameters } from "./path-parameters.ts";
import { computeRadioClimate, type RadioClimate } from "./radio-climate.ts";
import { measureZones, type RadioZone, type ZoneLengths } from "./radio-zones.ts";
import { computeTimeInterpolationFactor } from "./time-interpolation.ts";
import { computeTroposcatterLossDb } from "./troposcatter.ts";

/** Effective Earth radius exceeded for beta0 % of the time, km: k = 3. Source: ITU-R P.1812-6, section 3.5, eq (7b). */
const BETA_EARTH_RADIUS_KM = 3 * MEAN_EARTH_RADIUS_KM;

export interface P1812Input {
  /** Ground, and the surface raised by the clutter of the interior points (`raiseByPathClutter`); 3 points or more. */
  profile: PathProfile;
  /** Zone of each point. */
  zones: readonly RadioZone[];
  /** Antenna heights above the ground, m, above 0. */
  txHeightAglM: number;
  rxHeightAglM: number;
  frequencyGhz: number;
  /** The published figures use 0.2998 / f; the exact wavelength changes them by 2e-4 dB. */
  wavelengthM: number;
  polarisation: Polarisation;
  /** Share of time, %, for which the loss is not exceeded, 1 to 50: p. */
  timePercent: number;
  /** Share of places, %, for which the loss is not exceeded, 1 to 99: pL. */
  locationPercent: number;
  /** Standard deviation over places, dB (`computeLocationVariabilityDb`): sigmaL. */
  locationSpreadDb: number;
  /** Lapse rate of refractivity, N-units/km, below 157: delta N. */
  deltaN: number;
  /** Refractivity at sea level, N-units: N0. */
  seaLevelRefractivity: number;
  pathCentreLatitudeDeg: number;
  /** Distance over land from each antenna to the coast along the path, km: dct, dcr; 500 far from any. */
  txCoastKm: number;
  rxCoastKm: number;
}

/** The loss and every figure on the way to it, by the symbols of the source. */
export interface P1812Result extends SubModelLosses, CombinedLoss {
  path: PathParameters;
  zones: ZoneLengths;
  climate: RadioClimate;
  /** Delta-Bullington at the median Earth radius and at the one of beta0 % of the time. */
  diffraction: { median: DiffractionResult; beta: DiffractionResult };
  fi: number;
  lbfsDb: number;
  /** Basic transmission loss not exceeded for p % of the time and pL % of places. */
  lbDb: number;
  /** Field strength of 1 kW effective radiated power, dB above 1 uV/m: Ep. */
  fieldStrengthDbUvM: number;
}

/**
 * Basic transmission loss of one path by the complete method of ITU-R P.1812-6 (line of sight, diffraction, troposcatter,
 * ducting and their combination), with the figures that lead to it. `computeDeltaBullington` over a surface raised by clutter is
 * the diffraction part of it alone.
 * Source: ITU-R P.1812-6, Annex 1, sections 3 and 4, eqs (2) to (70).
 * Valid for: 30 MHz to 6 GHz, 0.25 to 3000 km, antennas to 3 km above the ground, 1 to 50 % of time.
 * Accuracy: every printed figure of its 48 published runs to 1e-6 with lambda = 0.2998 / f.
 * Throws RangeError on a malformed profile or a share out of range, TerrainError "profile_gap" where a height is missing.
 */
export function computeP1812Loss(input: P1812Input): P1812Result {
  checkInput(input);
  const { profile, frequencyGhz, timePercent } = input;
  const zones = measureZones(profile.distanceM, input.zones);
  const climate = computeRadioClimate(input.pathCentreLatitudeDeg, zones);
  const medianRadiusKm = computeEffectiveEarthRadiusKm(input.deltaN);
  const path = findPathParameters(profile, input.txHeightAglM, input.rxHeightAglM, medianRadiusKm, input.wavelengthM);
  const { pathKm, angularDistanceMrad } = path;
  const { seaFraction } = zones;
  const { beta0Percent } = climate;
  const fi = computeTimeInterpolationFactor(timePercent, beta0Percent);
  const sight = { ...path, txHorizonKm: path.tx.distanceKm, rxHorizonKm: path.rx.distanceKm, frequencyGhz };
  const diffraction = {
    median: computeDiffraction(input, seaFraction, medianRadiusKm),
    beta: computeDiffraction(input, seaFraction, BETA_EARTH_RADIUS_KM),
  };
  const losses = {
    ...computeSightAndDiffraction(sight, diffraction, timePercent, beta0Percent, fi),
    lbaDb: computeDuctingLossDb({ ...input, path, climate, seaFraction, effectiveEarthRadiusKm: medianRadiusKm }),
    lbsDb: computeTroposcatterLossDb({ ...input, pathKm, angularDistanceMrad }),
  };
  const combined = combineLosses({ losses, pathKm, angularDistanceMrad, seaFraction, timePercent, beta0Percent, fi });
  const lbDb = computeLossAtPlacesDb(input, losses.lb0pDb, combined.lbcDb);
  const fieldStrengthDbUvM = 199.36 + 20 * Math.log10(frequencyGhz) - lbDb;
  const lbfsDb = computeSlantFreeSpaceLossDb(sight);
  return { path, zones, climate, diffraction, fi, lbfsDb, ...losses, ...combined, lbDb, fieldStrengthDbUvM };
}

function computeDiffraction(input: P1812Input, seaFraction: number, radiusKm: number): DiffractionResult {
  const { profile, txHeightAglM, rxHeightAglM, wavelengthM, frequencyGhz, polarisation } = input;
  const path: DiffractionInput = {
    profile,
    txHeightAglM,
    rxHeightAglM,
    wavelengthM,
    frequencyGhz,
    polarisation,
    seaFraction,
    effectiveEarthRadiusM: radiusKm * 1000,
  };
  return computeDeltaBullington(path);
}

/** Eqs (8) to (11) and (41) to (43): line of sight, and diffraction not exceeded for p % of the time. */
function computeSightAndDiffraction(
  sight: LineOfSightInput,
  { median, beta }: P1812Result["diffraction"],
  timePercent: number,
  beta0Percent: number,
  fi: number,
): Pick<SubModelLosses, "lb0pDb" | "lb0BetaDb" | "ldpDb" | "lbd50Db" | "lbdDb"> {
  const lb0pDb = computeLineOfSightLossDb(sight, timePercent);
  const ldpDb = median.lossDb + (beta.lossDb - median.lossDb) * fi;
  return {
    lb0pDb,
    lb0BetaDb: computeLineOfSightLossDb(sight, beta0Percent),
    ldpDb,
    lbd50Db: computeSlantFreeSpaceLossDb(sight) + median.lossDb,
    lbdDb: lb0pDb + ldpDb,
  };
}

/** Eq (69): the loss at pL % of places, never less than in sight. */
function computeLossAtPlacesDb(
  { locationPercent, locationSpreadDb }: P1812Input,
  lb0pDb: number,
  lbcDb: number,
): number {
  return Math.max(lb0pDb, lbcDb - computePrescribedInverseNormal(locationPercent / 100) * locationSpreadDb);
}

function checkInput({ profile, zones, timePercent, locationPercent }: P1812Input): void {
  checkProfileShape(profile);
  const n = profile.distanceM.length;
  if (n < 3) throw new RangeError(`P.1812 needs a profile of 3 or more points, got ${n}`);
  if (zones.length !== n) throw new RangeError(`a profile of ${n} points has ${zones.length} zones`);
  if (!(timePercent >= 1 && timePercent <= 50)) {
    throw new RangeError(`P.1812 takes 1 to 50 % of time, got ${timePercent}`);
  }
  if (!(locationPercent >= 1 && locationPercent <= 99)) {
    throw new RangeError(`P.1812 takes 1 to 99 % of places, got ${locationPercent}`);
  }
  if (hasProfileGap(profile)) throw new TerrainError("profile_gap", "the profile has points without a known height");
}
