import { createHash } from "node:crypto";
import { InputError } from "@fellmark/units";
import { boundSigmaDb } from "./class-sigma.ts";
import { groupBySquares, groupOneByOne, predictHeldOutDb, scoreHeldOut } from "./held-out.ts";
import { findGreatestInfluenceDb } from "./influence.ts";
import { type LinkColumns, toColumns } from "./link-columns.ts";
import { checkLinks, type MeasuredLink, PATH_CLASSES, type RejectedLink } from "./measured-link.ts";
import type { ClassCalibration, OwnDataCalibration, Validation } from "./own-data-calibration.ts";
import { fitTerms } from "./robust-fit.ts";
import type { Terms } from "./shrunk-least-squares.ts";

export interface FitOptions {
  /** Rows measured later are rejected; absent: no row is. */
  nowMs?: number;
  /** Side of the squares that are left out together, m: longer than the distance over which clutter correlates. */
  blockM?: number;
}

/** Raised whenever the same links would give another calibration. */
const METHOD = "own-data-2";

const DEFAULT_BLOCK_M = 1000;
const LEAST_LINKS = 10;
const LEAST_SQUARES = 4;
const MOST_ROWS = 20_000;

/**
 * Fits a calibration to measured links, validates it on links that were left out, and lists the rows it cannot use.
 *
 * The datum of a link is its excess: measured less modelled loss, which is predicted less measured level. The terms (see
 * OwnDataCalibration) are those of `fitTerms`: shrunk toward zero, outliers bounded. Then every link in turn is left out,
 * then every square of the ground. The calibration counts only if links left out one by one gain more than one standard
 * error and links of left-out squares lose nothing. Otherwise it is kept for information and `computeCalibrationDb` is 0; the
 * same holds if too few links or squares allow a judgement. The order of the rows does not matter.
 * 300 links take 0.2 s, 20,000 take 6 s. Throws InputError for more than 20,000 rows.
 */
export function fitCalibration(
  rows: readonly MeasuredLink[],
  options: FitOptions = {},
): { calibration: OwnDataCalibration; rejected: RejectedLink[] } {
  if (rows.length > MOST_ROWS) {
    throw new InputError([{ pointer: "", detail: `holds ${rows.length} links`, limit: MOST_ROWS }]);
  }
  const { blockM = DEFAULT_BLOCK_M, nowMs } = options;
  const { accepted, rejected } = checkLinks(rows, nowMs);
  const measured = accepted.toSorted((a, b) => (a.id < b.id ? -1 : 1));
  const version = computeVersion(measured, blockM);
  if (measured.length === 0) return { calibration: createEmptyCorrection(version), rejected };
  const links = toColumns(measured);
  const terms = fitTerms(links);
  const leftOutDb = predictHeldOutDb(links, groupOneByOne(links.count), terms);
  const validation = validate(links, measured, { terms, leftOutDb, blockM });
  const errorsDb = links.excessDb.map((excess, i) => (validation.applied ? excess - leftOutDb[i] : excess));
  const calibration = {
    version,
    referenceKm: links.referenceKm,
    classes: listClasses(links, terms, errorsDb),
    sectors: listSectors(links, terms),
    influenceDb: roundUp(findGreatestInfluenceDb(links, terms)),
    validation,
  };
  return { calibration, rejected };
}

function computeVersion(measured: readonly MeasuredLink[], blockM: number): string {
  const rows = measured.map((link) => [
    ...[link.id, link.sector, link.class, link.distanceM, link.eastM, link.northM],
    ...[link.predictedDbm, link.measuredDbm, link.atMs ?? null],
  ]);
  const sha256 = createHash("sha256").update(JSON.stringify([METHOD, blockM, rows]));
  return `c${sha256.digest("hex").slice(0, 16)}`;
}

function createEmptyCorrection(version: string): OwnDataCalibration {
  const validation = { applied: false, reason: "no link was measured", leaveOneOut: null, blocks: null };
  return { version, referenceKm: 1, classes: {}, sectors: {}, influenceDb: 0, validation };
}

function validate(
  links: LinkColumns,
  measured: readonly MeasuredLink[],
  fit: { terms: Terms; leftOutDb: Float64Array; blockM: number },
): Validation {
  const { blockM } = fit;
  if (links.count < LEAST_LINKS) {
    const reason = `${links.count} links are too few to judge by: ${LEAST_LINKS} are needed`;
    return { applied: false, reason, leaveOneOut: null, blocks: null };
  }
  const leaveOneOut = roundScore(scoreHeldOut(links, fit.leftOutDb));
  const { groupOf, squares } = groupBySquares(measured, blockM);
  const where = `squares of ${blockM} m`;
  if (squares < LEAST_SQUARES) {
    const reason = `the links lie in ${squares} ${where}, not enough to block: ${LEAST_SQUARES} are needed`;
    return { applied: false, reason, leaveOneOut, blocks: null };
  }
  const score = roundScore(scoreHeldOut(links, predictHeldOutDb(links, groupOf, fit.terms)));
  const blocks = { ...score, blockM, blocks: squares };
  const judged = (applied: boolean, reason: string) => ({ applied, reason, leaveOneOut, blocks });
  if (leaveOneOut.gain <= leaveOneOut.gainError) return judged(false, "it does not help links left out one by one");
  if (blocks.gain < 0) return judged(false, `it hurts in ${where} left out one by one`);
  return judged(true, `it helps links left out one by one and does not hurt in ${where} left out one by one`);
}

function listClasses(links: LinkColumns, terms: Terms, errorsDb: Float64Array): OwnDataCalibration["classes"] {
  const classes: OwnDataCalibration["classes"] = {};
  PATH_CLASSES.forEach((name, pathClass) => {
    const own = Array.from(errorsDb).filter((_, i) => links.pathClass[i] === pathClass);
    if (own.length === 0) return;
    const sigmaDb = boundSigmaDb(own);
    const ofClass: ClassCalibration = {
      offsetDb: toThousandth(terms.ofClass[2 * pathClass]),
      slopeDbPerDecade: toThousandth(terms.ofClass[2 * pathClass + 1]),
      sigmaDb: sigmaDb === null ? null : toThousandth(sigmaDb),
      links: own.length,
    };
    classes[name] = ofClass;
  });
  return classes;
}

function listSectors(links: LinkColumns, { biasDb }: Terms): OwnDataCalibration["sectors"] {
  const counts = new Uint32Array(links.sectorNames.length);
  for (const sector of links.sector) counts[sector]++;
  return Object.fromEntries(
    links.sectorNames.map((name, i) => [name, { biasDb: toThousandth(biasDb[i]), links: counts[i] }]),
  );
}

function roundScore<Score extends object>(score: Score): Score {
  return Object.fromEntries(Object.entries(score).map(([name, value]) => [name, toThousandth(value)])) as Score;
}

function toThousandth(value: number): number {
  return Math.round(value * 1000) / 1000 + 0;
}

/** Rounds up to the next thousandth and two more: each of three terms of a calibration is rounded by half a thousandth. */
function roundUp(value: number): number {
  return Math.ceil(value * 1000 + 3) / 1000;
}
