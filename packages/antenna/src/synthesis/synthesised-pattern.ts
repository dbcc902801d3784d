import { dbFromRatio, ratioFromDb } from "@fellmark/units";
import type { AntennaPattern, Port } from "../pattern.ts";
import type { LossParts } from "./loss-parts.ts";

/** An antenna before loss and imperfections: its mean over the sphere, both polarisations, is 1. */
export interface Directivity {
  /** Greatest co-polar value over both ports. */
  peak: number;
  /** Linear, toward a direction in the antenna's own frame. */
  toward(polarisation: "co" | "cross", azimuthDeg: number, elevationDeg: number, port: Port): number;
}

/** What a pattern is built with beside its field. */
export interface SynthesisOptions {
  frequencyGhz: number;
  lossDb: number;
  /** Of leakage between the polarisations, scatter of the mast and the loss, those that count. */
  parts: LossParts;
  /** Co-polar over cross-polar level that the feed itself lets through, dB. */
  feedPurityDb: number;
}

/** Feeds of printed arrays, and of horns. Common practice without a source: 15 to 25 dB for arrays in the field. */
export const ARRAY_PURITY_DB = 25;
export const HORN_PURITY_DB = 30;

/** Level of what the mast, its brackets and cables scatter. Common practice without a source. */
const SCATTER_BELOW_PEAK_DB = 35;
/** The mast takes no more of the power than this, however narrow the beam. */
const GREATEST_SCATTER_SHARE = 0.05;
/** Keeps the logarithm finite where a field is exactly zero: -120 dBi. */
const NOTHING = 1e-12;

/**
 * The gains of a directivity: less the loss, with a share of the power leaking into the other polarisation of the same
 * direction and a share scattered by the mast, as far as these parts count. No power is lost in the latter two.
 */
export function synthesisedPattern(directivity: Directivity, options: SynthesisOptions): AntennaPattern {
  const { parts, feedPurityDb, lossDb } = options;
  const scattered = parts.has("mast-scatter") ? scatteredShare(directivity.peak) : 0;
  const leaked = parts.has("feed-leakage") ? 1 / (1 + ratioFromDb(feedPurityDb)) : 0;
  const efficiency = parts.has("feed-loss") ? ratioFromDb(-lossDb) : 1;
  const kept = (1 - scattered) * efficiency;
  const floor = (scattered / 2) * efficiency + NOTHING;
  const gain = (own: number, other: number): number => dbFromRatio(kept * (own + other) + floor);
  return {
    peakGainDbi: gain((1 - leaked) * directivity.peak, 0),
    levels: "actual",
    gainDbi: (azimuthDeg, elevationDeg, port) =>
      gain((1 - leaked) * directivity.toward("co", azimuthDeg, elevationDeg, port), 0),
    crossGainDbi(azimuthDeg, elevationDeg, port) {
      const leakage = leaked === 0 ? 0 : leaked * directivity.toward("co", azimuthDeg, elevationDeg, port);
      return gain(directivity.toward("cross", azimuthDeg, elevationDeg, port), leakage);
    },
  };
}

/**
 * Share of the power that the mast scatters evenly over the sphere, half of it in each polarisation: so much that each
 * lies 35 dB under the peak, but 5 % at most (-16 dBi), which a beam of more than 19 dBi reaches.
 */
function scatteredShare(peak: number): number {
  const both = 2 * peak * ratioFromDb(-SCATTER_BELOW_PEAK_DB);
  return Math.min(both / (1 + both), GREATEST_SCATTER_SHARE);
}
