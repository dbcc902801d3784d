import { dbFromRatio, milliwattsFromDbm } from "@fellmark/units";
import type { BudgetTerm } from "../link/link-budget.ts";
import { heldRates, interferenceMw, type LinkMargins, type PortLink, type RatedLink } from "./margins.ts";

/** One sector's link to the place. Terms are signed contributions in dB; azimuth and elevation aim the kit. */
export interface AnswerLink {
  sector: string;
  distanceM: number;
  azimuthDeg: number | null;
  elevationDeg: number;
  class: "clear" | "grazing" | "blocked";
  fresnelClearance: number | null;
  blocking: { distanceM: number; heightAmslM: number; excessM: number } | null;
  /** Distances from the mast of the points that mast and kit see highest. */
  horizons: { mastDistanceM: number | null; kitDistanceM: number | null };
  /** Share of the profile without a known height, bridged by straight lines. */
  notKnownShare: number;
  downMbps: number;
  upMbps: number;
  sinrDownDb: number;
  sinrUpDb: number;
  down: BudgetTerm[];
  up: BudgetTerm[];
}

/** What is said of a link. */
export function answerLink(rated: RatedLink): AnswerLink {
  const { link, arrival } = rated.level;
  const { path, loss } = arrival;
  const { geometry } = loss;
  const { fresnelClearance } = geometry;
  return {
    sector: link.sector.id,
    distanceM: loss.groundDistanceM,
    azimuthDeg: path.backAzimuthDeg,
    elevationDeg: geometry.arrivalElevationDeg,
    class: geometry.class,
    fresnelClearance: Number.isFinite(fresnelClearance) ? fresnelClearance : null,
    blocking: geometry.blocking,
    horizons: {
      mastDistanceM: geometry.horizons.transmitter?.distanceM ?? null,
      kitDistanceM: geometry.horizons.receiver?.distanceM ?? null,
    },
    notKnownShare: path.notKnownShare,
    ...heldRates(rated),
    ...budgetOf(rated),
  };
}

/** SINR and the full list of terms, both ways. Noise counts as a contribution: what is taken off the signal's level. */
function budgetOf(rated: RatedLink): Pick<AnswerLink, "sinrDownDb" | "sinrUpDb" | "down" | "up"> {
  const { level, margins } = rated;
  const upThermalDbm = level.link.up.noiseDbm;
  const upSinrDb = level.signalUpDbm - margins.upNoise.meanDbm;
  const tail = (noiseDbm: number, raisedDb: number, sinrDb: number) => [
    { term: "noise", db: -noiseDbm },
    { term: "interference", db: 0 - raisedDb },
    { term: "sinr", db: sinrDb },
    { term: "fade-margin", db: -margins.fadeDb },
    { term: "confidence-margin", db: -margins.confidenceFactor * margins.sigmaDb },
  ];
  return {
    sinrDownDb: sinrDownDb(rated),
    sinrUpDb: upSinrDb,
    down: [...level.downTerms, ...tail(margins.downNoiseDbm, riseDb(margins), sinrDownDb(rated))],
    up: [...level.upTerms, ...tail(upThermalDbm, margins.upNoise.meanDbm - upThermalDbm, upSinrDb)],
  };
}

/** SINR at the kit, all interference on average, dB. */
export function sinrDownDb({ level, margins }: PortLink): number {
  return level.signalDownDbm - margins.downNoiseDbm - riseDb(margins);
}

/** Rise of the kit's noise by interference, dB. */
function riseDb({ interference, downNoiseDbm }: LinkMargins): number {
  return dbFromRatio(1 + interferenceMw(interference) / milliwattsFromDbm(downNoiseDbm));
}
