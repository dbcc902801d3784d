import type { CutPoint } from "./level-cut.ts";

/** Amplitudes along one side of an array: level at the edge, or the side lobes wanted, both in dB below the peak. */
export type Taper =
  | { kind: "uniform" }
  | { kind: "cosine"; pedestalDb: number }
  | { kind: "chebyshev"; sideLobeDb: number };

/** Options of an antenna built from its dimensions. */
interface Imperfections {
  /** True: no excitation errors, no leakage between ports and no scatter from the mast; default false. */
  idealLobes?: boolean | undefined;
  /** Seed of the excitation errors; default 1. */
  seed?: number | undefined;
}

export interface PatchArrayDescription extends Imperfections {
  kind: "patch-array";
  columns: number;
  rows: number;
  columnSpacingM: number;
  rowSpacingM: number;
  /** Default: uniform. */
  columnTaper?: Taper | undefined;
  /** Default: uniform. */
  rowTaper?: Taper | undefined;
  /** Tilt set by phases that are exact at the design frequency; default 0. */
  electricalDowntiltDeg?: number | undefined;
  designFrequencyGhz: number;
  feedLossDb?: number | undefined;
}

export interface HornDescription extends Imperfections {
  kind: "horn";
  form: "conical" | "dual-mode" | "corrugated";
  /** Diameter of the mouth. */
  diameterM: number;
  /** Distance from the apex of the cone to the rim. */
  slantLengthM: number;
  lossDb?: number | undefined;
}

export interface PyramidalHornDescription extends Imperfections {
  kind: "pyramidal-horn";
  /** Width of the mouth, in the H plane of port 1 (vertical polarisation). */
  widthM: number;
  /** Height of the mouth, in the E plane of port 1. */
  heightM: number;
  /** Distances from the apex to the rim in the H plane and in the E plane. */
  slantLengthHM: number;
  slantLengthEM: number;
  lossDb?: number | undefined;
}

export interface DishDescription extends Imperfections {
  kind: "dish";
  diameterM: number;
  /** Focal length over diameter. */
  focalRatio: number;
  /** Level of the illumination at the rim below that at the centre. */
  edgeTaperDb: number;
  blockageDiameterM?: number | undefined;
  surfaceRmsM?: number | undefined;
  lossDb?: number | undefined;
}

export interface SectoralReferenceDescription {
  kind: "f1336";
  gainDbi: number;
  azimuthWidthDeg: number;
  /** Default: from the gain and the azimuth width, as the Recommendation says. */
  elevationWidthDeg?: number | undefined;
  form: "peak" | "average";
  electricalDowntiltDeg?: number | undefined;
}

/** An antenna as plain data. Lengths are in metres, so its lobes move with the frequency. */
export type AntennaDescription =
  | { kind: "isotropic"; gainDbi: number }
  | { kind: "tr38901" }
  | { kind: "cuts"; gainDbi: number; horizontal: readonly CutPoint[]; vertical: readonly CutPoint[] }
  | PatchArrayDescription
  | HornDescription
  | PyramidalHornDescription
  | DishDescription
  | SectoralReferenceDescription
  | { kind: "f699" | "f1245"; gainDbi: number; diameterM: number }
  | { kind: "shrouded"; base: AntennaDescription; fromDeg: number; reductionDb: number }
  | { kind: "without-lobes"; base: AntennaDescription; power: "peak-kept" | "renormalised" }
  | { kind: "exchange"; text: string }
  | { kind: "csv"; text: string; gainDbi: number };
