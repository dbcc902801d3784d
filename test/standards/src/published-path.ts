import {
  computeDeltaBullington,
  type DiffractionInput,
  type DiffractionResult,
  type PathClutterRule,
  type PathProfile,
  type Polarisation,
  type RadioZone,
  raiseByPathClutter,
} from "@fellmark/propagation";
import { InputError } from "@fellmark/units";

/** The published numbers use this speed of light: lambda = 0.2998 / f. */
export const PUBLISHED_WAVELENGTH_GHZ_M = 0.2998;

export interface PublishedPath {
  distanceKm: readonly number[];
  groundAmslM: readonly number[];
  clutterM: readonly number[];
  clutterRule: PathClutterRule;
  txHeightAglM: number;
  rxHeightAglM: number;
  frequencyGhz: number;
  effectiveEarthRadiusKm: number;
  polarisation: Polarisation;
  seaFraction: number;
}

/** The profile that delta-Bullington takes: clutter on the surface where the rule has it, the ground bare. */
export function publishedProfile(path: PublishedPath): PathProfile {
  const distanceM = Float64Array.from(path.distanceKm, (km) => km * 1000);
  const bareAmslM = Float64Array.from(path.groundAmslM);
  const surfaceAmslM = raiseByPathClutter(distanceM, bareAmslM, path.clutterM, path.clutterRule);
  return { distanceM, surfaceAmslM, bareAmslM };
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
  return computeDeltaBullington(input);
}

/** The zones of a profile's points by the codes of its table. Throws InputError that names a code it does not hold. */
export function zonesOfCodes(codes: string[], zoneOf: Readonly<Record<string, RadioZone>>, path: string): RadioZone[] {
  return codes.map((code) => {
    if (code in zoneOf) return zoneOf[code];
    throw new InputError([
      { pointer: `/${path}`, detail: `has the radio-climatic code "${code}", which is not known` },
    ]);
  });
}
