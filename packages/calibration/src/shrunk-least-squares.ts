import type { LinkColumns } from "./link-columns.ts";
import { PATH_CLASSES } from "./measured-link.ts";

/**
 * Expected errors of the model, standard deviations. They determine the shrinkage and are not fitted: variance
 * components of a dozen links are mostly chance. Common practice, no source:
 * an offset as in published comparisons of path models with measurements between regions;
 * a slope of 5 dB a decade is half a unit of the exponent of distance;
 * a bias is the root sum of tolerances of power, feeder, gain and aim of one sector, 1 to 2 dB each.
 */
const PRIOR_OFFSET_DB = 6;
const PRIOR_SLOPE_DB_PER_DECADE = 5;
const PRIOR_BIAS_DB = 3;

/** Number of class terms: offset and slope of each class, side by side. */
const CLASS_TERMS = 2 * PATH_CLASSES.length;

/** The fitted terms. */
export interface Terms {
  /** Offset and slope of each of PATH_CLASSES in turn. */
  ofClass: Float64Array;
  biasDb: Float64Array;
}

/** Returns terms that correct nothing. */
export function createTerms(sectors: number): Terms {
  return { ofClass: new Float64Array(CLASS_TERMS), biasDb: new Float64Array(sectors) };
}

/** Sums of one sector: weight, weighted excess, then the weighted terms of its links' classes. */
const SECTOR_SUMS = 2 + CLASS_TERMS;

/**
 * Solves weighted least squares with the priors. Each bias is the shrunk mean of its sector's residuals, so the biases are
 * eliminated and six equations remain. Overwrites the terms; returns the largest change of a term.
 */
export function solveWeighted(links: LinkColumns, weight: Float64Array, terms: Terms): number {
  const { matrix, right } = createPriorEquations();
  const sums = new Float64Array(links.sectorNames.length * SECTOR_SUMS);
  for (let i = 0; i < links.count; i++) {
    const first = 2 * links.pathClass[i];
    const x = links.decades[i];
    const w = weight[i];
    const y = links.excessDb[i];
    const at = links.sector[i] * SECTOR_SUMS;
    matrix[first * CLASS_TERMS + first] += w;
    matrix[(first + 1) * CLASS_TERMS + first] += w * x;
    matrix[first * CLASS_TERMS + first + 1] += w * x;
    matrix[(first + 1) * CLASS_TERMS + first + 1] += w * x * x;
    right[first] += w * y;
    right[first + 1] += w * y * x;
    sums[at] += w;
    sums[at + 1] += w * y;
    sums[at + 2 + first] += w;
    sums[at + 3 + first] += w * x;
  }
  for (let at = 0; at < sums.length; at += SECTOR_SUMS) eliminateSector(matrix, right, sums, at);
  const ofClass = solvePositive(matrix, right);
  return replaceTerms(terms, ofClass, sums);
}

function createPriorEquations(): { matrix: Float64Array; right: Float64Array } {
  const matrix = new Float64Array(CLASS_TERMS * CLASS_TERMS);
  for (let term = 0; term < CLASS_TERMS; term++) {
    const prior = term % 2 === 0 ? PRIOR_OFFSET_DB : PRIOR_SLOPE_DB_PER_DECADE;
    matrix[term * CLASS_TERMS + term] = 1 / (prior * prior);
  }
  return { matrix, right: new Float64Array(CLASS_TERMS) };
}

const BIAS_PRECISION = 1 / (PRIOR_BIAS_DB * PRIOR_BIAS_DB);

function eliminateSector(matrix: Float64Array, right: Float64Array, sums: Float64Array, at: number): void {
  const share = 1 / (sums[at] + BIAS_PRECISION);
  for (let row = 0; row < CLASS_TERMS; row++) {
    right[row] -= sums[at + 2 + row] * sums[at + 1] * share;
    for (let column = 0; column < CLASS_TERMS; column++) {
      matrix[row * CLASS_TERMS + column] -= sums[at + 2 + row] * sums[at + 2 + column] * share;
    }
  }
}

function replaceTerms(terms: Terms, ofClass: Float64Array, sums: Float64Array): number {
  let movedDb = 0;
  for (let term = 0; term < CLASS_TERMS; term++) {
    movedDb = Math.max(movedDb, Math.abs(ofClass[term] - terms.ofClass[term]));
  }
  terms.ofClass.set(ofClass);
  for (let sector = 0; sector < terms.biasDb.length; sector++) {
    const at = sector * SECTOR_SUMS;
    let leftDb = sums[at + 1];
    for (let term = 0; term < CLASS_TERMS; term++) leftDb -= sums[at + 2 + term] * ofClass[term];
    const biasDb = leftDb / (sums[at] + BIAS_PRECISION);
    movedDb = Math.max(movedDb, Math.abs(biasDb - terms.biasDb[sector]));
    terms.biasDb[sector] = biasDb;
  }
  return movedDb;
}

/** Solves a symmetric positive definite system by elimination, in place, without pivots. Returns the solution. */
function solvePositive(matrix: Float64Array, right: Float64Array): Float64Array {
  const n = right.length;
  for (let pivot = 0; pivot < n; pivot++) {
    for (let row = pivot + 1; row < n; row++) {
      const factor = matrix[row * n + pivot] / matrix[pivot * n + pivot];
      for (let column = pivot; column < n; column++) matrix[row * n + column] -= factor * matrix[pivot * n + column];
      right[row] -= factor * right[pivot];
    }
  }
  for (let row = n - 1; row >= 0; row--) {
    for (let column = row + 1; column < n; column++) right[row] -= matrix[row * n + column] * right[column];
    right[row] /= matrix[row * n + row];
  }
  return right;
}
