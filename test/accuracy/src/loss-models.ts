import {
  computeDeltaBullington,
  computeEffectiveEarthRadiusKm,
  computeEndClutterLossDb,
  computeFreeSpaceLossDb,
  computeP1812MedianLossDb,
  findPathGeometry,
  hasProfileGap,
  P1812_LEAST_M,
  type PathClass,
  type PathProfile,
  raiseByPathClutter,
} from "@fellmark/propagation";
import { computeWavelengthM } from "@fellmark/units";
import type { MeasuredLink } from "./measured-links.ts";

/** Lapse rate of the 4/3 Earth, N-units per km. Source: ITU-R P.1812-6, section 3.5, eq (6). */
const FOUR_THIRDS_DELTA_N = 39.25;

/** A model's loss of one link, dB, or why there is none. */
export type Prediction = { lossDb: number } | { skipped: string };

/**
 * The product's default, which own measurements calibrate. The heights along these profiles are those of classes (15 m
 * trees, 10 m open), which path-clutter counts at the ends alone: here it is the same as end-clutter.
 */
export const CALIBRATED_MODEL = "path-clutter";

/** The models that see one link at a time, in the order of the report. Nothing in them is fitted to measured links. */
export const LOSS_MODELS: Readonly<Record<string, (link: MeasuredLink) => Prediction>> = {
  "free-space": (link) => ({ lossDb: freeSpaceOf(link) }),
  "delta-bullington": bareTerrain,
  [CALIBRATED_MODEL]: terrainWithEndClutter,
  "end-clutter": terrainWithEndClutter,
  p1812: completeP1812,
};

function freeSpaceOf({ profile, frequencyGhz }: MeasuredLink): number {
  return computeFreeSpaceLossDb((profile.distanceKm.at(-1) as number) * 1000, frequencyGhz);
}

/** Free space and delta-Bullington over the ground alone. */
function bareTerrain(link: MeasuredLink): Prediction {
  const profile = bareProfile(link);
  if (hasProfileGap(profile)) return { skipped: "the profile has points without a known height" };
  const { txHeightAglM, rxHeightAglM, frequencyGhz, polarisation } = link;
  const { lossDb } = computeDeltaBullington({
    profile,
    txHeightAglM,
    rxHeightAglM,
    frequencyGhz,
    polarisation,
    wavelengthM: computeWavelengthM(frequencyGhz),
    effectiveEarthRadiusM: effectiveEarthRadiusM(link),
    seaFraction: 0,
  });
  return { lossDb: freeSpaceOf(link) + lossDb };
}

/** How the path of a link with a prediction runs over the bare ground, as the product's classes go. */
export function pathClassOf(link: MeasuredLink): PathClass {
  const { txHeightAglM, rxHeightAglM, frequencyGhz } = link;
  const lengthM = computeWavelengthM(frequencyGhz);
  return findPathGeometry(bareProfile(link), txHeightAglM, rxHeightAglM, lengthM, effectiveEarthRadiusM(link)).class;
}

function effectiveEarthRadiusM({ deltaN = FOUR_THIRDS_DELTA_N }: MeasuredLink): number {
  return computeEffectiveEarthRadiusKm(deltaN) * 1000;
}

function bareProfile({ profile }: MeasuredLink): PathProfile {
  const bareAmslM = Float64Array.from(profile.groundAmslM, (m) => m ?? Number.NaN);
  return { distanceM: Float64Array.from(profile.distanceKm, (km) => km * 1000), surfaceAmslM: bareAmslM, bareAmslM };
}

/** Bare terrain, and the clutter at both ends. */
function terrainWithEndClutter(link: MeasuredLink): Prediction {
  const { clutterType, frequencyGhz, profile } = link;
  const terrain = bareTerrain(link);
  if ("skipped" in terrain) return terrain;
  if (!clutterType) return { skipped: "the link does not say what stands around its ends" };
  const endLossDb = (end: "tx" | "rx", antennaHeightAglM: number) => {
    const clutterHeightM = profile.clutterHeightM?.at(end === "tx" ? 0 : -1);
    const known = typeof clutterHeightM === "number" ? { clutterHeightM } : {};
    return computeEndClutterLossDb({ class: clutterType[end], antennaHeightAglM, frequencyGhz, ...known });
  };
  return { lossDb: terrain.lossDb + endLossDb("tx", link.txHeightAglM) + endLossDb("rx", link.rxHeightAglM) };
}

/** The complete P.1812-6 at the median of time and place; clutter on the interior of the path and none at its ends. */
function completeP1812(link: MeasuredLink): Prediction {
  const { txHeightAglM, rxHeightAglM, frequencyGhz, polarisation } = link;
  const { clutterHeightM } = link.profile;
  if ((link.profile.distanceKm.at(-1) as number) * 1000 < P1812_LEAST_M)
    return { skipped: "the path is under 0.25 km" };
  if (!clutterHeightM) return { skipped: "the link does not say what stands along its path" };
  const profile = clutteredProfile(link, clutterHeightM);
  if (hasProfileGap(profile)) return { skipped: "the profile has points without a known height" };
  const lossDb = computeP1812MedianLossDb({
    ...{ profile, txHeightAglM, rxHeightAglM, frequencyGhz, polarisation },
    effectiveEarthRadiusM: effectiveEarthRadiusM(link),
  });
  return { lossDb };
}

function clutteredProfile(link: MeasuredLink, clutterHeightM: (number | null)[]): PathProfile {
  const { distanceM, bareAmslM } = bareProfile(link);
  const clutterM = Float64Array.from(clutterHeightM, (m) => m ?? Number.NaN);
  return { distanceM, bareAmslM, surfaceAmslM: raiseByPathClutter(distanceM, bareAmslM, clutterM, "interior") };
}
