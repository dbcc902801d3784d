import { computeVegetationLossDb, type EndClutterClass } from "@fellmark/propagation";

/** Evidence on an installation whose level is not as predicted. Levels are per chain at the CPE, dBm. */
export interface InstallEvidence {
  predictedDbm: number;
  measuredDbm: number;
  /** Each chain by itself; null where only one level was read. */
  chainsDbm: readonly [number, number] | null;
  sinr: { predictedDb: number; measuredDb: number } | null;
  heightAglM: number;
  frequencyGhz: number;
  /** Clutter at the CPE; null where that is not known. */
  cpeClutter: EndClutterClass | null;
  /** Predictions for the same place from other sectors, and from this one at other heights. */
  otherSectors: readonly { sector: string; predictedDbm: number }[];
  otherHeights: readonly { heightAglM: number; predictedDbm: number }[];
}

/** A likely cause, with what speaks for it. */
export interface InstallCause {
  cause:
    | "side-lobe"
    | "wrong-sector"
    | "tree"
    | "height"
    | "pointing"
    | "polarisation"
    | "one-chain"
    | "interference"
    | "model";
  /** True where something beside the level itself speaks for it. */
  supported: boolean;
  /** Part of the difference that it leaves open, dB. */
  unexplainedDb: number;
  evidence: string;
}

/** A level that is further off than this, either way, is no pass. Common practice, no source. */
export const ACCEPTANCE_DB = 6;

/** A cause that leaves more than this open is not named, dB: half of the acceptance. Common practice, no source. */
const OPEN_DB = 3;

/** Chains that lie further apart than this have a fault of their own, dB. Common practice, no source. */
const CHAINS_APART_DB = 10;

/** Reduction of the level by each cause, dB: [least, greatest]. Common practice, no source. */
const SIDE_LOBE_DB = [13, 20] as const;
const POINTING_DB = [3, 12] as const;
const CROSS_POLAR_DB = [17, 25] as const;

/** Way through leaves at the CPE, from a bush to two trees, m. Common practice, no source. */
const LEAVES_M = [5, 30] as const;

/**
 * Likely causes of the difference between a measured and a predicted level, most likely first: those that more than the
 * level speaks for, and among equals those that leave less of it open. Empty where level and SINR pass. Where one chain
 * is at fault the other one is judged.
 */
export function installCauses(evidence: InstallEvidence): InstallCause[] {
  const better = suspectChain(evidence.chainsDbm);
  if (better === null) return listCauses(evidence);
  return [suspectOneChain(better), ...listCauses({ ...evidence, measuredDbm: better.levelDbm })];
}

function listCauses(evidence: InstallEvidence): InstallCause[] {
  const residualDb = evidence.measuredDbm - evidence.predictedDbm;
  if (Math.abs(residualDb) <= ACCEPTANCE_DB) return suspectInterference(evidence);
  const causes = [
    ...suspectWrongSector(evidence),
    ...suspectHeight(evidence),
    ...(residualDb < 0 ? explainLowLevel(evidence, -residualDb) : []),
  ];
  const named = causes.filter(({ unexplainedDb }) => unexplainedDb <= OPEN_DB);
  named.sort((a, b) => Number(b.supported) - Number(a.supported) || a.unexplainedDb - b.unexplainedDb);
  return named.length > 0 ? named : [suspectModel(residualDb)];
}

/** Causes that only take away. In this order where nothing else decides. */
function explainLowLevel(evidence: InstallEvidence, missingDb: number): InstallCause[] {
  const between = (range: readonly [number, number]) =>
    `${formatDecibels(range[0])} to ${formatDecibels(range[1])} too low`;
  return [
    {
      cause: "side-lobe",
      supported: false,
      unexplainedDb: isOutside(missingDb, SIDE_LOBE_DB),
      evidence: `a CPE aimed by a side lobe reads ${between(SIDE_LOBE_DB)}: turn it through the peak, both ways`,
    },
    ...suspectTree(evidence, missingDb),
    {
      cause: "pointing",
      supported: false,
      unexplainedDb: isOutside(missingDb, POINTING_DB),
      evidence: `a CPE up to its beam's width off the aim reads ${between(POINTING_DB)}: aim for the peak of both chains`,
    },
    {
      cause: "polarisation",
      supported: false,
      unexplainedDb: isOutside(missingDb, CROSS_POLAR_DB),
      evidence: `a CPE turned by 90 degrees, or chains swapped, reads ${between(CROSS_POLAR_DB)}`,
    },
  ];
}

function suspectTree({ cpeClutter, frequencyGhz }: InstallEvidence, missingDb: number): InstallCause[] {
  if (cpeClutter !== null && cpeClutter !== "trees") return [];
  const [least, greatest] = LEAVES_M.map((lengthM) => computeVegetationLossDb({ lengthM, frequencyGhz }));
  const leaves = `${LEAVES_M[0]} to ${LEAVES_M[1]} m of leaves take ${formatDecibels(least)} to ${formatDecibels(greatest)}`;
  const known = cpeClutter === "trees" ? "trees stand there" : "trees and buildings there are not known";
  return [
    {
      cause: "tree",
      supported: cpeClutter === "trees",
      unexplainedDb: isOutside(missingDb, [least, greatest]),
      evidence: `${leaves}, and ${known}: look along the line to the mast`,
    },
  ];
}

/** Another sector whose prediction the level fits; the nearest only. */
function suspectWrongSector({ otherSectors, measuredDbm }: InstallEvidence): InstallCause[] {
  const nearest = findNearest(measuredDbm, otherSectors);
  if (!nearest) return [];
  const { sector, predictedDbm } = nearest;
  const evidence = `${sector} is predicted with ${formatDecibels(predictedDbm)}m here: check to which sector the CPE is connected`;
  return [{ cause: "wrong-sector", supported: true, unexplainedDb: Math.abs(measuredDbm - predictedDbm), evidence }];
}

/** Another mount height whose prediction the level fits; of those that fit to a decibel the nearest to the stated one. */
function suspectHeight({ otherHeights, measuredDbm, heightAglM }: InstallEvidence): InstallCause[] {
  const offDb = ({ predictedDbm }: { predictedDbm: number }) => Math.abs(measuredDbm - predictedDbm);
  const leastDb = Math.min(...otherHeights.map(offDb));
  const alike = otherHeights.filter((other) => offDb(other) <= leastDb + 1);
  const offM = (other: { heightAglM: number }) => Math.abs(other.heightAglM - heightAglM);
  const [fitting] = alike.sort((a, b) => offM(a) - offM(b));
  if (!fitting) return [];
  const evidence = `at ${fitting.heightAglM} m instead of ${heightAglM} m the prediction is ${formatDecibels(fitting.predictedDbm)}m: measure the mount`;
  return [{ cause: "height", supported: true, unexplainedDb: offDb(fitting), evidence }];
}

/** The better chain where the other one alone is low: not by the path, which both have in common. */
function suspectChain(chainsDbm: InstallEvidence["chainsDbm"]): { levelDbm: number; apartDb: number } | null {
  if (chainsDbm === null) return null;
  const apartDb = Math.abs(chainsDbm[0] - chainsDbm[1]);
  return apartDb < CHAINS_APART_DB ? null : { levelDbm: Math.max(...chainsDbm), apartDb };
}

function suspectOneChain({ levelDbm, apartDb }: { levelDbm: number; apartDb: number }): InstallCause {
  const evidence = `the chains are ${formatDecibels(apartDb)} apart, the better one reads ${formatDecibels(levelDbm)}m: check the other's cable, connector and polarisation`;
  return { cause: "one-chain", supported: true, unexplainedDb: 0, evidence };
}

/** The level is as predicted, the SINR is not. */
function suspectInterference({ sinr }: InstallEvidence): InstallCause[] {
  if (sinr === null || sinr.measuredDb >= sinr.predictedDb - ACCEPTANCE_DB) return [];
  const missingDb = sinr.predictedDb - sinr.measuredDb;
  const evidence = `the level is as predicted, the SINR is ${formatDecibels(missingDb)} lower: an external emitter may use the channel; scan it at the CPE`;
  return [{ cause: "interference", supported: true, unexplainedDb: 0, evidence }];
}

function suspectModel(residualDb: number): InstallCause {
  const side = residualDb < 0 ? "lower" : "higher";
  const evidence = `${formatDecibels(Math.abs(residualDb))} ${side} than predicted, and no usual cause fits: check the place, the sector and obstacles on the path`;
  return { cause: "model", supported: false, unexplainedDb: Math.abs(residualDb), evidence };
}

/** Distance of a value from a range; 0 within it. */
function isOutside(value: number, [least, greatest]: readonly number[]): number {
  return Math.max(0, least - value, value - greatest);
}

function findNearest<Item extends { predictedDbm: number }>(
  levelDbm: number,
  items: readonly Item[],
): Item | undefined {
  return items.toSorted((a, b) => Math.abs(a.predictedDbm - levelDbm) - Math.abs(b.predictedDbm - levelDbm))[0];
}

function formatDecibels(value: number): string {
  return `${value.toFixed(1)} dB`;
}
