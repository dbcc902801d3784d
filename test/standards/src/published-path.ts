import {
  type DiffractionInput,
  type DiffractionResult,
  deltaBullington,
  type PathProfile,
  type Polarisation,
  pathGeometry,
} from "@fellmark/propagation";
import { RAD_PER_DEG } from "@fellmark/units";

/** The published numbers use this speed of light: lambda = 0.2998 / f. */
export const PUBLISHED_WAVELENGTH_GHZ_M = 0.2998;

/** Which points carry their clutter: all but the ends (P.1812-6), or all from 50 m off the ends (P.452-18). */
export type ClutterRule = "interior" | "beyond 50 m";

export interface PublishedPath {
  distanceKm: readonly number[];
  groundAmslM: readonly number[];
  clutterM: readonly number[];
  clutterRule: ClutterRule;
  txHeightAglM: number;
  rxHeightAglM: number;
  frequencyGhz: number;
  effectiveEarthRadiusKm: number;
  polarisation: Polarisation;
  seaFraction: number;
}

/** Slack of the 50 m rule, km: 5 - 4.95 is a little less than 0.05, and a point at 50 m keeps its clutter. */
const DISTANCE_SLACK_KM = 1e-9;

/** The profile that delta-Bullington takes: clutter on the surface where the rule has it, the ground bare. */
function publishedProfile(path: PublishedPath): PathProfile {
  const { distanceKm, groundAmslM, clutterM } = path;
  const pathKm = distanceKm[distanceKm.length - 1];
  const bareEndKm = path.clutterRule === "interior" ? 0 : 0.05 - 2 * DISTANCE_SLACK_KM;
  const surface = groundAmslM.map((groundM, i) => {
    const fromEndKm = Math.min(distanceKm[i], pathKm - distanceKm[i]);
    return fromEndKm > bareEndKm + DISTANCE_SLACK_KM ? groundM + clutterM[i] : groundM;
  });
  return {
    distanceM: Float64Array.from(distanceKm, (km) => km * 1000),
    surfaceAmslM: Float64Array.from(surface),
    bareAmslM: Float64Array.from(groundAmslM),
  };
}

/** Delta-Bullington over a published path, with a wavelength in m at 1 GHz. */
export function publishedLoss(path: PublishedPath, wavelengthGhzM: number): DiffractionResult {
  const input: DiffractionInput = {
    profile: publishedProfile(path),
    txHeightAglM: path.txHeightAglM,
    rxHeightAglM: path.rxHeightAglM,
    wavelengthM: wavelengthGhzM / path.frequencyGhz,
    frequencyGhz: path.frequencyGhz,
    effectiveEarthRadiusM: path.effectiveEarthRadiusKm * 1000,
    polarisation: path.polarisation,
    seaFraction: path.seaFraction,
  };
  return deltaBullington(input);
}

/** Elevations of the ray at both ends over the bare ground, mrad. */
export function publishedRayAngles(path: PublishedPath): { txMrad: number; rxMrad: number } {
  const profile = publishedProfile({ ...path, clutterM: path.clutterM.map(() => 0) });
  const lambdaM = PUBLISHED_WAVELENGTH_GHZ_M / path.frequencyGhz;
  const radiusM = path.effectiveEarthRadiusKm * 1000;
  const geometry = pathGeometry(profile, path.txHeightAglM, path.rxHeightAglM, lambdaM, radiusM);
  return {
    txMrad: geometry.departureElevationDeg * RAD_PER_DEG * 1000,
    rxMrad: geometry.arrivalElevationDeg * RAD_PER_DEG * 1000,
  };
}
