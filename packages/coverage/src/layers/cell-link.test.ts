import { describe, expect, it } from "vitest";
import { buildLayerJob } from "./build-layer-job.ts";
import { fillDownLink, fillUpLink } from "./cell-link.ts";
import { createRow } from "./row.ts";
import { drawNetwork } from "./testing/seeded-network.ts";

/** Two sectors on each of two masts; both ports of a CPE count. */
const drawn = buildLayerJob(drawNetwork({ seed: 2, chains: 1, comesAndGoes: false, emitters: 1, sites: 2 }));
const job = { ...drawn, sectors: drawn.sectors.map((one) => ({ ...one, activity: null, upPerDown: 2 })) };

function fillRow() {
  const row = createRow(job);
  row.server[0] = 1;
  row.levelMw[0][1][0] = 12;
  row.levelMw[1][1][0] = 5;
  row.ownSiteMw[0][0] = 0.25;
  row.otherSitesMw[0][0] = 0.5;
  row.emittersMw[0][0] = 0.125;
  return row;
}

describe("the links of a cell", () => {
  it("go up by both ports with the ratio of the sector, all streams by the weaker", () => {
    const up = fillUpLink(job, fillRow(), 0, 6);
    expect([up.leastMw, up.mostMw]).toEqual([10, 24]);
    expect(up.sigmaDb).toBeCloseTo(Math.sqrt(36 + job.sectors[1].up.variance), 9);
  });

  it("come down with noise, other sites and emitters that stay and the own site that falls", () => {
    const [first, last] = fillDownLink(job, fillRow(), 0, 6);
    expect([first.signalMw, last.signalMw]).toEqual([12, 5]);
    expect([first.states, first.ownSiteMw[0], last.ownSiteMw[0]]).toEqual([1, 0.25, 0]);
    expect(first.steadyMw[0]).toBeCloseTo(job.sectors[1].noiseDownMw + 0.5 + 0.125, 6);
    expect(last.steadyMw[0]).toBeCloseTo(job.sectors[1].noiseDownMw, 9);
  });

  it("have a state more for each interferer that comes and goes; what it brings while it is on counts there alone", () => {
    // Sector 2, of the other mast, is on for a quarter of the time: 0.5 mW in the mean are 2 mW.
    const activity = Float64Array.from(job.sources, (_, source) => (source === 2 ? 0.25 : 1));
    const goes = { ...job, sectors: job.sectors.map((one) => ({ ...one, activity })) };
    const row = createRow(goes);
    row.server[0] = 1;
    row.levelMw[0][1][0] = 12;
    row.otherSitesMw[0][0] = 0.5;
    row.reachingMw[0][2][0] = 0.5;
    const [port] = fillDownLink(goes, row, 0, 6);
    expect(port.states).toBe(2);
    expect([port.share[0], port.share[1]]).toEqual([0.75, 0.25]);
    expect(port.steadyMw[0]).toBeCloseTo(goes.sectors[1].noiseDownMw, 9);
    expect(port.steadyMw[1]).toBeGreaterThanOrEqual(goes.sectors[1].noiseDownMw + 2 - 1e-9);
  });
});
