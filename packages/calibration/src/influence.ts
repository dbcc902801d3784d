import { oneByOne } from "./held-out.ts";
import type { LinkColumns } from "./link-columns.ts";
import { fitTerms } from "./robust-fit.ts";
import type { Terms } from "./shrunk-least-squares.ts";

/** A level so wrong that none is worse: past Huber's limit only its sign counts. */
const AS_WRONG_AS_CAN_BE_DB = 1e9;

/** With more links than this only those with the fewest companions are tried: influence falls with company. */
const MOST_TRIED = 200;

/**
 * The most by which the calibration of any class, sector and distance changes if the level of any one link is another,
 * dB. Not an estimate from a formula: each link in turn is set as far too strong and as far too weak as can be, and the
 * fits are compared. Between these ends the fit moves monotonely along the link's own prediction.
 */
export function greatestInfluenceDb(links: LinkColumns, whole: Terms): number {
  let greatestDb = 0;
  for (const link of loneliest(links)) {
    const fitWith = (excessDb: number) => {
      const moved = links.excessDb.slice();
      moved[link] = excessDb;
      return fitTerms({ ...links, excessDb: moved }, undefined, whole);
    };
    for (const excessDb of [AS_WRONG_AS_CAN_BE_DB, -AS_WRONG_AS_CAN_BE_DB]) {
      greatestDb = Math.max(greatestDb, greatestDifferenceDb(fitWith(excessDb), whole));
    }
  }
  return greatestDb;
}

/** Links with the fewest others in their class and sector, at most MOST_TRIED. */
function loneliest(links: LinkColumns): Uint32Array {
  const companions = new Map<number, number>();
  const keyOf = (i: number) => links.pathClass[i] * links.sectorNames.length + links.sector[i];
  for (let i = 0; i < links.count; i++) companions.set(keyOf(i), (companions.get(keyOf(i)) ?? 0) + 1);
  const companyOf = (i: number) => companions.get(keyOf(i)) as number;
  return oneByOne(links.count)
    .sort((a, b) => companyOf(a) - companyOf(b) || a - b)
    .subarray(0, MOST_TRIED);
}

/** Over all classes at both ends of the reach of their slopes, with each sector and with a sector not measured. */
function greatestDifferenceDb(a: Terms, b: Terms): number {
  const biases = [0, ...a.biasDb.map((biasDb, sector) => biasDb - b.biasDb[sector])];
  const ofClasses: number[] = [0];
  for (let first = 0; first < a.ofClass.length; first += 2) {
    const offsetDb = a.ofClass[first] - b.ofClass[first];
    const slopeDb = a.ofClass[first + 1] - b.ofClass[first + 1];
    ofClasses.push(offsetDb + slopeDb, offsetDb - slopeDb);
  }
  const rising = Math.max(...ofClasses) + greatest(biases);
  const falling = Math.min(...ofClasses) - greatest(biases.map((biasDb) => -biasDb));
  return Math.max(rising, -falling);
}

function greatest(values: readonly number[]): number {
  return values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
}
