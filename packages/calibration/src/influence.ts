import { groupOneByOne } from "./held-out.ts";
import type { LinkColumns } from "./link-columns.ts";
import { fitTerms } from "./robust-fit.ts";
import type { Terms } from "./shrunk-least-squares.ts";

/** Error of an extreme outlier: beyond Huber's limit only the sign of an error counts. */
const OUTLIER_DB = 1e9;

/** Above this number only links with the fewest peers are tried: influence falls with the number of peers. */
const MOST_TRIED = 200;

/**
 * Returns the largest change of the calibration of any class, sector and distance if the level of one link changes, dB.
 * Not an estimate from a formula: each link in turn becomes an extreme outlier, too strong and too weak, and the fits
 * are compared. Between these ends the fit moves monotonically along the link's own prediction.
 */
export function findGreatestInfluenceDb(links: LinkColumns, whole: Terms): number {
  let greatestDb = 0;
  for (const link of findLinksWithFewestPeers(links)) {
    const fitWith = (excessDb: number) => {
      const moved = links.excessDb.slice();
      moved[link] = excessDb;
      return fitTerms({ ...links, excessDb: moved }, undefined, whole);
    };
    for (const excessDb of [OUTLIER_DB, -OUTLIER_DB]) {
      greatestDb = Math.max(greatestDb, findGreatestDifferenceDb(fitWith(excessDb), whole));
    }
  }
  return greatestDb;
}

/** Returns the links with the fewest peers in their class and sector, at most MOST_TRIED. */
function findLinksWithFewestPeers(links: LinkColumns): Uint32Array {
  const companions = new Map<number, number>();
  const keyOf = (i: number) => links.pathClass[i] * links.sectorNames.length + links.sector[i];
  for (let i = 0; i < links.count; i++) companions.set(keyOf(i), (companions.get(keyOf(i)) ?? 0) + 1);
  const companyOf = (i: number) => companions.get(keyOf(i)) as number;
  return groupOneByOne(links.count)
    .sort((a, b) => companyOf(a) - companyOf(b) || a - b)
    .subarray(0, MOST_TRIED);
}

/** Returns the largest difference over all classes, at both ends of their slopes, over all sectors and an unmeasured one. */
function findGreatestDifferenceDb(a: Terms, b: Terms): number {
  const biases = [0, ...a.biasDb.map((biasDb, sector) => biasDb - b.biasDb[sector])];
  const ofClasses: number[] = [0];
  for (let first = 0; first < a.ofClass.length; first += 2) {
    const offsetDb = a.ofClass[first] - b.ofClass[first];
    const slopeDb = a.ofClass[first + 1] - b.ofClass[first + 1];
    ofClasses.push(offsetDb + slopeDb, offsetDb - slopeDb);
  }
  const rising = Math.max(...ofClasses) + findGreatest(biases);
  const falling = Math.min(...ofClasses) - findGreatest(biases.map((biasDb) => -biasDb));
  return Math.max(rising, -falling);
}

function findGreatest(values: readonly number[]): number {
  return values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
}
