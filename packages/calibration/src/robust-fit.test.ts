import { createSeededNormal, createSeededRandom } from "@fellmark/testkit";
import { expect, it } from "vitest";
import { findGreatestInfluenceDb } from "./influence.ts";
import type { LinkColumns } from "./link-columns.ts";
import { computeHuberLoss, fitTerms, PRIOR_SIGMA_DB, predictExcessDb } from "./robust-fit.ts";

function seededColumns(seed: number, count: number, sectors: number): LinkColumns {
  const uniform = createSeededRandom(seed);
  const normal = createSeededNormal(seed + 500);
  const pathClass = Uint8Array.from({ length: count }, () => Math.floor(3 * uniform()));
  return {
    count,
    pathClass,
    sector: Uint32Array.from({ length: count }, () => Math.floor(sectors * uniform())),
    sectorNames: Array.from({ length: sectors }, (_, i) => `s${i}`),
    referenceKm: 2,
    decades: Float64Array.from({ length: count }, () => 1.6 * uniform() - 0.8),
    excessDb: Float64Array.from(
      pathClass,
      (c) => 5 + 3 * normal() + (uniform() < 0.1 ? 60 : PRIOR_SIGMA_DB[c]) * normal(),
    ),
  };
}

/** What fitTerms makes least: the definition, written out. */
function penalisedLoss(links: LinkColumns, { ofClass, biasDb }: ReturnType<typeof fitTerms>): number {
  let sum = 0;
  for (let i = 0; i < links.count; i++) {
    const errorDb = links.excessDb[i] - predictExcessDb({ ofClass, biasDb }, links, i);
    sum += computeHuberLoss(errorDb, PRIOR_SIGMA_DB[links.pathClass[i]]);
  }
  ofClass.forEach((term, i) => {
    sum += term ** 2 / (2 * (i % 2 === 0 ? 6 : 5) ** 2);
  });
  return biasDb.reduce((total, bias) => total + bias ** 2 / (2 * 3 ** 2), sum);
}

it("finds the least of what it says it makes least: no step of any term lowers it", () => {
  for (let seed = 0; seed < 20; seed++) {
    const links = seededColumns(seed, 30 + 5 * seed, 1 + (seed % 7));
    const terms = fitTerms(links);
    const least = penalisedLoss(links, terms);
    for (const values of [terms.ofClass, terms.biasDb]) {
      for (let i = 0; i < values.length; i++) {
        for (const stepDb of [0.01, -0.01]) {
          values[i] += stepDb;
          expect(penalisedLoss(links, terms)).toBeGreaterThan(least);
          values[i] -= stepDb;
        }
      }
    }
  }
});

it("ends at the same terms from any start", () => {
  const links = seededColumns(3, 80, 5);
  const terms = fitTerms(links);
  const far = { ofClass: terms.ofClass.map(() => 50), biasDb: terms.biasDb.map(() => -50) };
  const again = fitTerms(links, undefined, far);
  again.ofClass.forEach((term, i) => {
    expect(term).toBeCloseTo(terms.ofClass[i], 4);
  });
  expect(far.biasDb[0]).toBe(-50);
});

it("is moved by a level that is 10, 100 or 1000 dB off by no more than the stated influence", () => {
  let greatestShare = 0;
  for (let seed = 0; seed < 25; seed++) {
    const links = seededColumns(seed, 10 + 4 * seed, 1 + (seed % 5));
    const terms = fitTerms(links);
    const influenceDb = findGreatestInfluenceDb(links, terms);
    for (let i = 0; i < links.count; i += 3) {
      for (const byDb of [10, -10, 100, -100, 1000, -1000]) {
        const excessDb = links.excessDb.slice();
        excessDb[i] += byDb;
        const other = fitTerms({ ...links, excessDb });
        for (let k = 0; k < links.count; k++) {
          const movedDb = Math.abs(predictExcessDb(other, links, k) - predictExcessDb(terms, links, k));
          greatestShare = Math.max(greatestShare, movedDb / influenceDb);
        }
      }
    }
  }
  expect(greatestShare).toBeLessThanOrEqual(1);
  expect(greatestShare).toBeGreaterThan(0.5);
});
