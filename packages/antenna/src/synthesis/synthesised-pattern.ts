import { toDb, toRatio } from "@fellmark/units";
import type { AntennaPattern, Port } from "../pattern.ts";
import type { LossParts } from "./loss-parts.ts";

/** An antenna before loss and imperfections: its mean over the sphere, both polarisations, is 1. */
export interface Directivity {
  /** Greatest co-polar value over both ports. */
  peak: number;
  /** Linear, toward a direction in the antenna's own frame. */
  toward(polarisation: "co" | "cross", azimuthDeg: number, elevationDeg: number, port: Port): number;
}

/** Inputs of a pattern besides its field. */
export interface SynthesisOptions {
  frequencyGhz: number;
  lossDb: number;
  /** Losses that count; used here: leakage between the polarisations, scatter of the mast, feed loss. */
  parts: LossParts;
  /** Co-polar over cross-polar level that the feed itself lets through, dB. */
  feedPurityDb: number;
}

/** Purity of feeds of printed arrays, and of horns. Common practice, no source: 15 to 25 dB for arrays in the field. */
export const ARRAY_PURITY_DB = 25;
export const HORN_PURITY_DB = 30;

/** Level of the scatter of mast, brackets and cables. Common practice, no source. */
const SCATTER_BELOW_PEAK_DB = 35;
/** Largest share of the power that the mast scatters, for any beam. */
const GREATEST_SCATTER_SHARE = 0.05;
/** Keeps the logarithm finite where a field is exactly zero: -120 dBi. */
const NOTHING = 1e-12;

/**
 * Returns the gains of a directivity: less the loss, with a share of the power leaking into the other polarisation of the
 * same direction and a share scattered by the mast, where these parts count. The latter two lose no power.
 */
export function createSynthesisedPattern(directivity: Directivity, options: SynthesisOptions): AntennaPattern {
  const { parts, feedPurityDb, lossDb } = options;
  const scattered = parts.has("mast-scatter") ? computeScatteredShare(directivity.peak) : 0;
  const leaked = parts.has("feed-leakage") ? 1 / (1 + toRatio(feedPurityDb)) : 0;
  const efficiency = parts.has("feed-loss") ? toRatio(-lossDb) : 1;
  const kept = (1 - scattered) * efficiency;
  const floor = (scattered / 2) * efficiency + NOTHING;
  const gain = (own: number, other: number): number => toDb(kept * (own + other) + floor);
  return {
    peakGainDbi: gain((1 - leaked) * directivity.peak, 0),
    levels: "actual",
    ...(scattered > 0 && { scatteredGain: (scattered / 2) * efficiency }),
    gainDbi: (azimuthDeg, elevationDeg, port) =>
      gain((1 - leaked) * directivity.toward("co", azimuthDeg, elevationDeg, port), 0),
    crossGainDbi(azimuthDeg, elevationDeg, port) {
      const leakage = leaked === 0 ? 0 : leaked * directivity.toward("co", azimuthDeg, elevationDeg, port);
      return gain(directivity.toward("cross", azimuthDeg, elevationDeg, port), leakage);
    },
  };
}

/**
 * Returns the share of the power that the mast scatters evenly over the sphere, half of it in each polarisation: each
 * lies 35 dB below the peak, but at most 5 % of the power (-16 dBi), which a beam above 19 dBi reaches.
 */
function computeScatteredShare(peak: number): number {
  const both = 2 * peak * toRatio(-SCATTER_BELOW_PEAK_DB);
  return Math.min(both / (1 + both), GREATEST_SCATTER_SHARE);
}
