import type { LinkColumns } from "./link-columns.ts";
import { createTerms, solveWeighted, type Terms } from "./shrunk-least-squares.ts";

/**
 * Prior spread of links about the model, dB, for each of PATH_CLASSES. It stays fixed in the fit: outliers would change a
 * spread fitted to the links. Common practice, no source.
 */
export const PRIOR_SIGMA_DB = [4, 6, 9] as const;

/**
 * Errors above this number of sigmas count by their sign only. Source: P. J. Huber, Robust estimation of a location parameter,
 * Ann. Math. Statist. 35 (1964): 95 % efficient for normal errors.
 */
const HUBER_SIGMAS = 1.345;

/** Agreement at which the fit ends, dB: far below the 0.001 dB to which a calibration is rounded. */
const AGREEMENT_DB = 1e-6;
const MOST_STEPS = 300;

/** Returns the excess that the terms predict for a link, dB. */
export function predictExcessDb({ ofClass, biasDb }: Terms, links: LinkColumns, link: number): number {
  const first = 2 * links.pathClass[link];
  return ofClass[first] + ofClass[first + 1] * links.decades[link] + biasDb[links.sector[link]];
}

/** Returns Huber's loss of an error: its square over 2 sigma^2, linear beyond HUBER_SIGMAS. */
export function computeHuberLoss(errorDb: number, sigmaDb: number): number {
  const sigmas = Math.abs(errorDb) / sigmaDb;
  return sigmas <= HUBER_SIGMAS ? (sigmas * sigmas) / 2 : HUBER_SIGMAS * (sigmas - HUBER_SIGMAS / 2);
}

/**
 * Returns the terms with the least
 *
 *     sum over links of huberLoss(excess - prediction, sigma(class)) + sum over terms of term^2 / (2 prior^2)
 *
 * The priors shrink every term toward zero: a term that alone explains n links keeps n / (n + k) of their mean, with
 * k = (sigma / prior)^2: 0.4, 1 and 2.3 links for the offsets of clear, grazing and blocked paths, and 1.8, 4 and 9
 * for a sector's bias. The sum is strictly convex, so its minimum does not depend on order or start. It is found
 * by reweighted least squares: links beyond Huber's limit weigh less, until the terms settle.
 * `isHeldOut`: links that do not count. `start`: terms to begin at, unchanged.
 */
export function fitTerms(links: LinkColumns, isHeldOut?: Uint8Array, start?: Terms): Terms {
  const terms = start
    ? { ofClass: start.ofClass.slice(), biasDb: start.biasDb.slice() }
    : createTerms(links.sectorNames.length);
  const weight = new Float64Array(links.count);
  for (let step = 0; step < MOST_STEPS; step++) {
    for (let i = 0; i < links.count; i++) {
      const sigmaDb = PRIOR_SIGMA_DB[links.pathClass[i]];
      const errorDb = Math.abs(links.excessDb[i] - predictExcessDb(terms, links, i));
      const share = isHeldOut?.[i] ? 0 : Math.min(1, (HUBER_SIGMAS * sigmaDb) / errorDb);
      weight[i] = share / (sigmaDb * sigmaDb);
    }
    if (solveWeighted(links, weight, terms) < AGREEMENT_DB) break;
  }
  return terms;
}
