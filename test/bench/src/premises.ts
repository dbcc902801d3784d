import { createReadStream } from "node:fs";
import { join } from "node:path";
import { findGeodesic } from "@fellmark/geodesy";
import { type ImportReport, importPremises, openPremisesList, type PremisesList } from "@fellmark/premises";
import { createSeededRandom, createTempDir } from "@fellmark/testkit";
import { parse } from "csv-parse";
import { type InventedAddress, inventAddresses, lineOf, withTypo, writeAddresses } from "./premises-scene.ts";
import type { Bench, BenchResult } from "./report.ts";
import { measure } from "./report.ts";
import { openTrigramPeer } from "./trigram-peer.ts";

const ADDRESSES = 200_000;
const QUERIES = 1000;
const PEER_QUERIES = 50;
const WARM_UPS = 100;
const SEARCH_TARGET_MS = 10;
const NEAREST_TARGET_MS = 1;
const IMPORT_TARGET_ROWS_PER_S = 50_000;
const TENANT = "default";

/** 200,000 invented addresses, imported once. */
async function withList<T>(
  seed: number,
  work: (scene: { addresses: InventedAddress[]; list: PremisesList; random: () => number }) => Promise<T>,
): Promise<T> {
  const folder = createTempDir();
  const random = createSeededRandom(seed);
  const addresses = inventAddresses(ADDRESSES, random);
  const file = join(folder.path, "addresses.csv");
  await writeAddresses(file, addresses);
  await importPremises({ dir: folder.path, tenant: TENANT }, file, { map: {} });
  const list = (await openPremisesList(folder.path, TENANT)) as PremisesList;
  try {
    return await work({ addresses, list, random });
  } finally {
    list.close();
    folder.remove();
  }
}

/** Addresses typed with a typo in one word, with one in every word, and as far as they are typed. */
export const searchBench: Bench = async ({ seed }) => {
  const results = await withList(seed, async ({ addresses, list, random }) => {
    const any = () => addresses[Math.floor(random() * addresses.length)];
    const asked = (typed: (line: string) => string) => {
      return Array.from({ length: QUERIES }, any).map((address) => ({ id: address.id, query: typed(lineOf(address)) }));
    };
    const once = asked((line) => typoInOneWord(line, random));
    const each = asked((line) => mapWords(line, (word) => withTypo(word, random)));
    const begun = asked((line) => line.slice(0, 1 + Math.floor(random() * line.length)));
    const peer = await openTrigramPeer(addresses.map(lineOf));
    const peerTimes = once.slice(0, PEER_QUERIES).map(({ query }) => timed(() => peer.search(query)).ms);
    peer.close();
    const name = "SQLite FTS5 trigrams";
    return [
      searchRow("search.typo", list, once, { name, value: quantile(peerTimes, 0.99) }),
      searchRow("search.typos", list, each),
      typingRow(list, begun),
    ];
  });
  return { results, skipped: [] };
};

interface Asked {
  id: string;
  query: string;
}

function searchRow(
  id: string,
  list: PremisesList,
  asked: Asked[],
  peer?: { name: string; value: number },
): BenchResult {
  for (const { query } of asked.slice(0, WARM_UPS)) list.search(query);
  const answers = asked.map(({ id: wanted, query }) => ({ wanted, ...timed(() => list.search(query)) }));
  const missed = answers.filter(({ wanted, value }) => value.hits[0]?.id !== wanted).length / asked.length;
  const row = timesRow(id, answers, SEARCH_TARGET_MS);
  const check = {
    what: "share of queries whose address is not first",
    value: missed,
    limit: 0.01,
    pass: missed <= 0.01,
  };
  return { ...row, check, ...(peer && { peer: { ...peer, ratio: row.value / peer.value, ratioTarget: 1 } }) };
}

/** Whatever was typed so far, the address must be among those found, or more than could be shown were found. */
function typingRow(list: PremisesList, asked: Asked[]): BenchResult {
  const limit = 10;
  const answers = asked.map(({ id: wanted, query }) => {
    return { wanted, ...timed(() => list.search(query, { isTyping: true, limit })) };
  });
  const lost = answers.filter(
    ({ wanted, value: { hits } }) => hits.length < limit && !hits.some(({ id }) => id === wanted),
  );
  const check = { what: "addresses lost while being typed", value: lost.length, limit: 0, pass: lost.length === 0 };
  return { ...timesRow("search.typing", answers, SEARCH_TARGET_MS), check };
}

export const nearestBench: Bench = async ({ seed }) => {
  const row = await withList(seed, async ({ addresses, list, random }) => {
    const places = Array.from({ length: QUERIES }, () => ({ lon: -72 + random(), lat: 44 + random() }));
    for (const at of places.slice(0, WARM_UPS)) list.nearest(at, 1);
    const answers = places.map((at) => timed(() => list.nearest(at, 1)));
    const checked = places.slice(0, PEER_QUERIES).map((at, index) => {
      const brute = timed(() => nearestByMeasuring(addresses, at));
      return { ms: brute.ms, isWrong: answers[index].value[0].id !== brute.value };
    });
    const wrong = checked.filter(({ isWrong }) => isWrong).length;
    const result = timesRow("nearest", answers, NEAREST_TARGET_MS);
    const value = quantile(
      checked.map(({ ms }) => ms),
      0.99,
    );
    const peer = { name: "measuring to all", value, ratio: result.value / value, ratioTarget: 0.1 };
    return { ...result, peer, check: { what: "nearest that are not", value: wrong, limit: 0, pass: wrong === 0 } };
  });
  return { results: [row], skipped: [] };
};

/** To within 2 km by plain angles, then along the ellipsoid: exact, as the nearest is never as far. */
function nearestByMeasuring(addresses: InventedAddress[], at: { lon: number; lat: number }): string {
  const near = addresses.filter(({ lon, lat }) => Math.abs(lat - at.lat) < 0.02 && Math.abs(lon - at.lon) < 0.03);
  const measured = near.map((address) => ({ id: address.id, distanceM: findGeodesic(at, address).distanceM }));
  return measured.reduce((best, one) => (one.distanceM < best.distanceM ? one : best)).id;
}

export const importBench: Bench = async ({ seed }) => {
  const folder = createTempDir();
  try {
    const file = join(folder.path, "addresses.csv");
    await writeAddresses(file, inventAddresses(ADDRESSES, createSeededRandom(seed)));
    let report: ImportReport | undefined;
    const ours = await measure(3, 1, async () => {
      report = await importPremises({ dir: folder.path, tenant: TENANT }, file, { map: {} });
    });
    const peerS = (await measure(3, 1, () => onlyParse(file))).median;
    const lost = ADDRESSES - (report?.premises.count ?? 0);
    const value = ADDRESSES / ours.median;
    const result: BenchResult = {
      id: "import",
      value,
      unit: "rows/s",
      n: ours.n,
      min: ADDRESSES / ours.max,
      max: ADDRESSES / ours.min,
      target: IMPORT_TARGET_ROWS_PER_S,
      pass: value >= IMPORT_TARGET_ROWS_PER_S,
      peer: {
        name: "csv-parse, reading alone",
        value: ADDRESSES / peerS,
        ratio: (value * peerS) / ADDRESSES,
        ratioTarget: 0.25,
      },
      check: { what: "rows lost", value: lost, limit: 0, pass: lost === 0 },
    };
    return { results: [result], skipped: [] };
  } finally {
    folder.remove();
  }
};

async function onlyParse(file: string): Promise<void> {
  const records = createReadStream(file).pipe(parse());
  let rows = 0;
  for await (const _record of records) rows++;
  if (rows !== ADDRESSES + 1) throw new Error(`read ${rows} rows`);
}

function timed<T>(work: () => T): { ms: number; value: T } {
  const start = performance.now();
  const value = work();
  return { ms: performance.now() - start, value };
}

function timesRow(id: string, answers: { ms: number }[], target: number): BenchResult {
  const times = answers.map(({ ms }) => ms);
  const value = quantile(times, 0.99);
  const [min, max] = [quantile(times, 0), quantile(times, 1)];
  return { id, value, unit: "ms p99", n: times.length, min, max, target, targetUnit: "ms", pass: value <= target };
}

function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
}

function mapWords(line: string, change: (word: string) => string): string {
  return line
    .split(" ")
    .map((word) => (/\d/.test(word) ? word : change(word)))
    .join(" ");
}

function typoInOneWord(line: string, random: () => number): string {
  const words = line.split(" ");
  const letters = words.flatMap((word, index) => (/\d/.test(word) ? [] : [index]));
  const at = letters[Math.floor(random() * letters.length)];
  return words.with(at, withTypo(words[at], random)).join(" ");
}
