import { describe, expect, it } from "vitest";
import { buildLayerJob } from "./build-layer-job.ts";
import { createRow, NO_SECTOR } from "./row.ts";
import { chooseServers, moveServers } from "./servers.ts";
import { drawNetwork } from "./testing/seeded-network.ts";

const job = buildLayerJob(drawNetwork({ seed: 2, chains: 1, comesAndGoes: false, emitters: 1, sites: 2 }));

/**
 * Levels of four sectors at two ports in six cells, two sectors a mast: by one port alone another would serve in cells 0,
 * 1 and 2.
 */
const LEVELS = [
  { first: [5, 4, 1, 2, 0, 9], last: [1, 3, 1, 2, 0, 9] },
  { first: [3, 3, 2, 2, 0, 1], last: [4, 5, 2, 1, 0, 1] },
  { first: [1, 1, 7, 0, 0, 8], last: [1, 5, 0, 0, 0, 8] },
  { first: [2, 0, 3, 0, 0, 7], last: [0, 0, 5, 0, 0, 7] },
];

/** Best and next by the sum of the ports: 7 over 6, 8 over 7, 8 over 7, 4 over 3, nobody, and 18 over 16. */
const SERVERS = [1, 1, 3, 0, NO_SECTOR, 0];
const NEXT = [0, 0, 2, 1, NO_SECTOR, 2];

function fillRow(levels: { first: number[]; last: number[] }[]) {
  const row = createRow(job);
  levels.forEach(({ first, last }, sector) => {
    row.levelMw[0][sector].set(first);
    row.levelMw[1][sector].set(last);
  });
  for (const { mayServe } of row.paths) mayServe.fill(1);
  return row;
}

const firstSix = (values: Int16Array | Float32Array) => [...values.subarray(0, 6)];

describe("the servers of a row", () => {
  it("are the two sectors with the greatest sums over both ports", () => {
    const row = fillRow(LEVELS);
    chooseServers(job, row);
    expect(firstSix(row.server)).toEqual(SERVERS);
    expect(firstSix(row.secondServer)).toEqual(NEXT);
    expect(firstSix(row.bestMw)).toEqual([7, 8, 8, 4, 0, 18]);
    expect(firstSix(row.nextMw)).toEqual([6, 7, 7, 3, 0, 16]);
  });

  it("are of masts that may serve", () => {
    const row = fillRow(LEVELS);
    row.paths[job.sources[0].mast].mayServe.fill(0);
    chooseServers(job, row);
    expect(firstSix(row.server)).toEqual([2, 2, 3, NO_SECTOR, NO_SECTOR, 2]);
    expect(firstSix(row.secondServer)).toEqual([3, NO_SECTOR, 2, NO_SECTOR, NO_SECTOR, 3]);
  });

  it.each([0, 1, 2, 3])("are those of a row chosen anew after sector %i has moved", (sector) => {
    const row = fillRow(LEVELS);
    chooseServers(job, row);
    const moved = LEVELS.with(sector, { first: [0, 4, 9, 1, 3, 0], last: [0, 5, 1, 2, 0, 0] });
    row.levelMw[0][sector].set(moved[sector].first);
    row.levelMw[1][sector].set(moved[sector].last);
    moveServers(job, row, sector);
    const anew = fillRow(moved);
    chooseServers(job, anew);
    for (const name of ["server", "secondServer", "bestMw", "nextMw"] as const) {
      expect(firstSix(row[name]), name).toEqual(firstSix(anew[name]));
    }
  });

  it("move by the sum of the ports where neither port alone beats the next", () => {
    const row = fillRow(LEVELS);
    chooseServers(job, row);
    // 3.5 at either port is under the next sector's 7 in cell 1 by itself; together it is as much, and 3.6 is more.
    row.levelMw[0][3].set([0, 3.6]);
    row.levelMw[1][3].set([0, 3.6]);
    moveServers(job, row, 3);
    expect([row.server[1], row.secondServer[1]]).toEqual([1, 3]);
    expect(row.nextMw[1]).toBeCloseTo(7.2, 5);
  });
});
