import type { LinkColumns } from "./link-columns.ts";
import { noTerms, solveWeighted, type Terms } from "./shrunk-least-squares.ts";

/**
 * Spread of links about the model before anything is measured, dB, for each of PATH_CLASSES. It stays fixed in the fit:
 * a spread taken from the links would itself be moved by outliers. Common practice, no source.
 */
export const PRIOR_SIGMA_DB = [4, 6, 9] as const;

/**
 * Errors over this many sigmas count by their sign only. Source: P. J. Huber, Robust estimation of a location parameter,
 * Ann. Math. Statist. 35 (1964): 95 % efficient for normal errors.
 */
const HUBER_SIGMAS = 1.345;

/** Agreement at which the fit ends, dB: far below the 0.001 dB that a calibration is rounded to. */
const AGREEMENT_DB = 1e-6;
const MOST_STEPS = 300;

/** What the terms say of a link, dB. */
export function predictedExcessDb({ ofClass, biasDb }: Terms, links: LinkColumns, link: number): number {
  const first = 2 * links.pathClass[link];
  return ofClass[first] + ofClass[first + 1] * links.decades[link] + biasDb[links.sector[link]];
}

/** Huber's loss of an error: its square over 2 sigma^2, linear where it is beyond HUBER_SIGMAS. */
export function huberLoss(errorDb: number, sigmaDb: number): number {
  const sigmas = Math.abs(errorDb) / sigmaDb;
  return sigmas <= HUBER_SIGMAS ? (sigmas * sigmas) / 2 : HUBER_SIGMAS * (sigmas - HUBER_SIGMAS / 2);
}

/**
 * The terms with the least
 *
 *     sum over links of huberLoss(excess - prediction, sigma(class)) + sum over terms of term^2 / (2 prior^2)
 *
 * The priors shrink every term toward zero: one that alone explained n links would keep n / (n + k) of their mean, with
 * k = (sigma / prior)^2, so 0.4, 1 and 2.3 links for the offsets of clear, grazing and blocked paths, and 1.8, 4 and 9
 * for a sector's bias. The sum is strictly convex, so there is one answer, whatever the order or the start. It is found
 * by reweighted least squares: links beyond Huber's limit weigh less, until nothing moves.
 * `isHeldOut`: links that do not count. `start`: terms to begin at, unchanged.
 */
export function fitTerms(links: LinkColumns, isHeldOut?: Uint8Array, start?: Terms): Terms {
  const terms = start
    ? { ofClass: start.ofClass.slice(), biasDb: start.biasDb.slice() }
    : noTerms(links.sectorNames.length);
  const weight = new Float64Array(links.count);
  for (let step = 0; step < MOST_STEPS; step++) {
    for (let i = 0; i < links.count; i++) {
      const sigmaDb = PRIOR_SIGMA_DB[links.pathClass[i]];
      const errorDb = Math.abs(links.excessDb[i] - predictedExcessDb(terms, links, i));
      const share = isHeldOut?.[i] ? 0 : Math.min(1, (HUBER_SIGMAS * sigmaDb) / errorDb);
      weight[i] = share / (sigmaDb * sigmaDb);
    }
    if (solveWeighted(links, weight, terms) < AGREEMENT_DB) break;
  }
  return terms;
}
