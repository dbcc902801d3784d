import type { AntennaPattern } from "@fellmark/antenna";
import { aimedPattern, toAntennaFrame } from "@fellmark/antenna";
import { milliwattsFromDbm } from "@fellmark/units";
import type { BudgetTerm, FixedBudget, LinkBudget } from "../link/link-budget.ts";
import type { MastPath, PathLoss } from "./mast-path.ts";

/** A sector's link to the place at one antenna height. */
export interface LinkLevel {
  link: LinkBudget;
  path: MastPath;
  loss: PathLoss;
  /** How much less than at its peak the sector's antenna gives this way, dB. */
  gainBelowPeakDb: number;
  /** Terms of the budget up to the signal, in their fixed order. */
  downTerms: BudgetTerm[];
  upTerms: BudgetTerm[];
  /** Received level per chain with the kit aimed at this sector, dBm. */
  signalDownDbm: number;
  signalUpDbm: number;
}

/** Budget of a link, term by term, down and up. */
export function linkLevel(link: LinkBudget, pattern: AntennaPattern, path: MastPath, loss: PathLoss): LinkLevel {
  const gainDbi = sectorGainDbi(link, pattern, path, loss);
  const downTerms = signalTerms(link, link.down, gainDbi, loss);
  const upTerms = signalTerms(link, link.up, gainDbi, loss);
  return {
    link,
    path,
    loss,
    gainBelowPeakDb: pattern.peakGainDbi - gainDbi,
    downTerms,
    upTerms,
    signalDownDbm: downTerms[downTerms.length - 1].db,
    signalUpDbm: upTerms[upTerms.length - 1].db,
  };
}

/** Gain of the mounted antenna along the ray; a place without coordinates is taken to lie on its azimuth. */
function sectorGainDbi(link: LinkBudget, pattern: AntennaPattern, path: MastPath, loss: PathLoss): number {
  const { sector } = link;
  const azimuthDeg = path.azimuthDeg ?? sector.azimuthDeg;
  return aimedPattern(pattern, sector).gainDbi(azimuthDeg, loss.geometry.departureElevationDeg, 0);
}

function signalTerms(link: LinkBudget, budget: FixedBudget, gainDbi: number, loss: PathLoss): BudgetTerm[] {
  const terms = [
    ...budget.before,
    { term: "antenna", db: gainDbi },
    { term: "free-space", db: -loss.freeSpaceDb },
    { term: "diffraction", db: -loss.diffractionDb },
    { term: "gas", db: -link.gasDbPerKm * (loss.slantM / 1000) },
    ...budget.after,
  ];
  return [...terms, { term: "signal", db: terms.reduce((sum, { db }) => sum + db, 0) }];
}

/** The kit as interference meets it. */
export interface Kit {
  pattern: AntennaPattern;
  pointingLossDb: number;
}

/** Interference per chain at the kit while it is aimed at `wanted`, mW. */
export interface Interference {
  /** From the wanted sector's own mast: it fades and fails together with the signal. */
  sameMastMw: number;
  otherMastsMw: number;
}

/** @param coupling share of the other sector's power that counts in the wanted channel, load included. */
export function interferenceAt(
  wanted: LinkLevel,
  others: readonly LinkLevel[],
  kit: Kit,
  coupling: (other: LinkBudget) => number,
): Interference {
  const sum: Interference = { sameMastMw: 0, otherMastsMw: 0 };
  for (const other of others) {
    if (other === wanted) continue;
    const levelMw = milliwattsFromDbm(other.signalDownDbm) * coupling(other.link);
    if (other.link.sector.site === wanted.link.sector.site) sum.sameMastMw += levelMw;
    else sum.otherMastsMw += levelMw * milliwattsFromDbm(discriminationDb(wanted, other, kit));
  }
  return sum;
}

/** Gain of the kit toward another mast over its gain toward its own; the pointing loss does not hold off the aim. */
function discriminationDb(wanted: LinkLevel, other: LinkLevel, kit: Kit): number {
  if (wanted.path.backAzimuthDeg === null || other.path.backAzimuthDeg === null) return kit.pointingLossDb;
  const aim = {
    azimuthDeg: wanted.path.backAzimuthDeg,
    downtiltDeg: -wanted.loss.geometry.arrivalElevationDeg,
  };
  const seen = toAntennaFrame(other.path.backAzimuthDeg, other.loss.geometry.arrivalElevationDeg, aim);
  const gainDbi = kit.pattern.gainDbi(seen.azimuthDeg, seen.elevationDeg, 0);
  return gainDbi - kit.pattern.peakGainDbi + kit.pointingLossDb;
}
