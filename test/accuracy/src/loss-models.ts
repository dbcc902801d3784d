import {
  deltaBullington,
  effectiveEarthRadiusKm,
  endClutterLossDb,
  freeSpaceLossDb,
  profileHasGap,
} from "@fellmark/propagation";
import { wavelengthM } from "@fellmark/units";
import type { MeasuredLink } from "./measured-links.ts";

/** Lapse rate of the 4/3 Earth, N-units per km. Source: ITU-R P.1812-6, section 3.5, eq (6). */
const FOUR_THIRDS_DELTA_N = 39.25;

/** A model's loss of one link, dB, or why there is none. */
export type Prediction = { lossDb: number } | { skipped: string };

/** Every model of the report, in its order. Nothing in any of them is fitted to the measured links. */
export const LOSS_MODELS: Readonly<Record<string, (link: MeasuredLink) => Prediction>> = {
  "free-space": (link) => ({ lossDb: freeSpaceOf(link) }),
  "delta-bullington": bareTerrain,
  "terrain-clutter": terrainWithEndClutter,
  p1812: () => ({ skipped: "the complete method of ITU-R P.1812 is not built yet" }),
  corrected: () => ({ skipped: "correction by own measurements is not built yet" }),
};

function freeSpaceOf({ profile, frequencyGhz }: MeasuredLink): number {
  return freeSpaceLossDb((profile.distanceKm.at(-1) as number) * 1000, frequencyGhz);
}

/** Free space and delta-Bullington over the ground alone. */
function bareTerrain(link: MeasuredLink): Prediction {
  const bareAmslM = Float64Array.from(link.profile.groundAmslM, (m) => m ?? Number.NaN);
  const distanceM = Float64Array.from(link.profile.distanceKm, (km) => km * 1000);
  const profile = { distanceM, surfaceAmslM: bareAmslM, bareAmslM };
  if (profileHasGap(profile)) return { skipped: "the profile has points without a known height" };
  const { txHeightAglM, rxHeightAglM, frequencyGhz, polarisation } = link;
  const { lossDb } = deltaBullington({
    profile,
    txHeightAglM,
    rxHeightAglM,
    frequencyGhz,
    polarisation,
    wavelengthM: wavelengthM(frequencyGhz),
    effectiveEarthRadiusM: effectiveEarthRadiusKm(link.deltaN ?? FOUR_THIRDS_DELTA_N) * 1000,
    seaFraction: 0,
  });
  return { lossDb: freeSpaceOf(link) + lossDb };
}

/** The product's default: bare terrain, and the clutter at both ends. */
function terrainWithEndClutter(link: MeasuredLink): Prediction {
  const { clutterType, frequencyGhz, profile } = link;
  const terrain = bareTerrain(link);
  if ("skipped" in terrain) return terrain;
  if (!clutterType) return { skipped: "the link does not say what stands around its ends" };
  const endLossDb = (end: "tx" | "rx", antennaHeightAglM: number) => {
    const clutterHeightM = profile.clutterHeightM?.at(end === "tx" ? 0 : -1);
    const known = typeof clutterHeightM === "number" ? { clutterHeightM } : {};
    return endClutterLossDb({ class: clutterType[end], antennaHeightAglM, frequencyGhz, ...known });
  };
  return { lossDb: terrain.lossDb + endLossDb("tx", link.txHeightAglM) + endLossDb("rx", link.rxHeightAglM) };
}
