import { CELL_CLASS } from "@fellmark/sweep";
import { toDb } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { linkBudgets } from "../link/link-budget.ts";
import { buildLayerJob } from "./build-layer-job.ts";
import { createStripRasters, NO_DATA, NO_RATE, type StripRasters } from "./layer-job.ts";
import { createRow } from "./row.ts";
import { computeStrip } from "./strip.ts";
import { buildPlainNetwork, computePlainCell, type PlainCell } from "./testing/plain-cell.ts";
import { drawNetwork, type NetworkTraits } from "./testing/seeded-network.ts";

/** Tables of gain, distance and sines against the functions they were made of, and hundredths of a dB in the rasters. */
const TOLERANCE_DB = 0.05;

const NETWORKS: Record<string, NetworkTraits> = {
  "two masts, both ports alike, always on": { seed: 1, chains: 2, comesAndGoes: false, emitters: 2, sites: 2 },
  "ports that differ": { seed: 2, chains: 1, comesAndGoes: false, emitters: 2, sites: 2 },
  "transmitters that come and go": { seed: 3, chains: 2, comesAndGoes: true, emitters: 3, sites: 2 },
  "ports that differ, transmitters that come and go": {
    seed: 10,
    chains: 1,
    comesAndGoes: true,
    emitters: 3,
    sites: 2,
  },
  "one mast alone": { seed: 5, chains: 2, comesAndGoes: false, emitters: 0, sites: 1 },
  "one mast and emitters, obstacles that scatter nothing": {
    ...{ seed: 6, chains: 2, comesAndGoes: true, emitters: 2, sites: 1 },
    model: { obstacleCapDb: null, gas: false },
  },
  "clutter cell by cell": {
    ...{ seed: 7, chains: 1, comesAndGoes: false, emitters: 1, sites: 2, hasClutterRaster: true },
    model: { clutter: { landCover: "cover" } },
  },
  "built-up country by its statistics": {
    ...{ seed: 8, chains: 2, comesAndGoes: false, emitters: 1, sites: 2 },
    model: { clutter: { class: "statistical", locationShare: 0.4 }, confidence: 0.6 },
  },
  "own links that taught the model": {
    ...{ seed: 9, chains: 2, comesAndGoes: false, emitters: 1, sites: 2 },
    model: { calibration: learntCalibration() },
  },
};

/** A calibration of invented figures: each class, distance and sector has its own. */
function learntCalibration() {
  const heldOut = { beforeRmseDb: 8, afterRmseDb: 6, gain: 1, gainError: 0.1 };
  return {
    version: "c0123456789abcdef",
    referenceKm: 3,
    classes: {
      clear: { offsetDb: 2, slopeDbPerDecade: 3, sigmaDb: 3, links: 20 },
      grazing: { offsetDb: -1, slopeDbPerDecade: 2, sigmaDb: 5, links: 20 },
      blocked: { offsetDb: 4, slopeDbPerDecade: -3, sigmaDb: 7, links: 20 },
    },
    sectors: { s00: { biasDb: 1.5, links: 20 }, s11: { biasDb: -2, links: 20 } },
    influenceDb: 1,
    validation: { applied: true, reason: "it helps", leaveOneOut: heldOut, blocks: null },
  };
}

function mapOf(traits: NetworkTraits) {
  const input = drawNetwork(traits);
  const job = buildLayerJob(input);
  const { width, height } = input.window;
  const out = createStripRasters(width, height, true);
  computeStrip({ job, fromRow: 0, rows: height, out });
  return { input, job, out, width, height };
}

/**
 * Share of the cells that must agree: all of them; where a single chain sends, not those in whose direction the assumed
 * cross-polar discrimination steps from 25 to 10 dB, between two entries of the gain table.
 */
const LEAST_SHARE = { 1: 0.95, 2: 1 } as const;

function shareOf(isRight: readonly boolean[]): number {
  return isRight.filter(Boolean).length / isRight.length;
}

/** Differences of one cell by raster; null where either of two near alternatives may be right. */
function compareCell(out: StripRasters, at: number, cell: PlainCell): Record<string, number> {
  const level = (raster: Int16Array) => (raster[at] === NO_DATA ? 0 : 10 ** (raster[at] / 1000));
  const levelDb = (raster: Int16Array, mw: number) =>
    mw === 0 || raster[at] === NO_DATA ? 1000 * Math.abs(level(raster) - mw) : Math.abs(raster[at] / 100 - toDb(mw));
  return {
    loss: Math.abs(out.loss[at] / 100 - cell.lossDb),
    signalDown: Math.abs(out.signalDown[at] / 100 - cell.signalDownDbm),
    signalUp: Math.abs(out.signalUp[at] / 100 - cell.signalUpDbm),
    sinrDown: Math.abs(out.sinrDown[at] / 100 - cell.sinrDownDb),
    sinrUp: Math.abs(out.sinrUp[at] / 100 - cell.sinrUpDb),
    ownSite: levelDb(out.ownSite, cell.ownSiteMw),
    otherSites: levelDb(out.otherSites, cell.otherSitesMw),
    emitters: levelDb(out.emitters, cell.emittersMw),
  };
}

describe.each(Object.entries(NETWORKS))("every cell by its plain formula: %s", (_name, traits) => {
  const { input, job, out, width, height } = mapOf(traits);
  const network = buildPlainNetwork(input);
  const served: { at: number; cell: PlainCell }[] = [];
  const unserved: number[] = [];
  for (let at = 0; at < width * height; at++) {
    const cell = computePlainCell(network, at % width, Math.floor(at / width));
    if (cell) served.push({ at, cell });
    else unserved.push(at);
  }
  const least = LEAST_SHARE[traits.chains];
  const decided = served.filter(({ cell }) => cell.leadDb > TOLERANCE_DB);

  it("knows where nothing serves", () => {
    for (const at of unserved) {
      expect([CELL_CLASS.outside, CELL_CLASS.notKnown]).toContain(out.tier[at]);
      expect([out.server[at], out.secondServer[at], out.loss[at], out.rateDown[at]]).toEqual([0, 0, NO_DATA, NO_RATE]);
    }
    expect(served.length).toBeGreaterThan(150);
    expect(job.ports).toBe(traits.chains === 1 ? 2 : 1);
  });

  it("has the strongest two sectors, over both ports", () => {
    const isAsPlain = decided.map(
      ({ at, cell }) => out.server[at] === cell.server + 1 && out.secondServer[at] === cell.second + 1,
    );
    expect(shareOf(isAsPlain)).toBeGreaterThanOrEqual(least);
    expect(new Set(decided.map(({ cell }) => cell.server)).size).toBe(job.sectors.length);
  });

  it("has its levels, SINR and interference by cause, dB", () => {
    const told = decided.filter(({ cell: { portsApartDb } }) => portsApartDb > TOLERANCE_DB);
    const differences = told.map(({ at, cell }) => compareCell(out, at, cell));
    for (const name of Object.keys(differences[0])) {
      expect(shareOf(differences.map((ofCell) => ofCell[name] < TOLERANCE_DB)), name).toBeGreaterThanOrEqual(least);
    }
  });

  it("has its rates and its plan, Mbit/s", () => {
    const isAsPlain: boolean[] = [];
    const speeds = new Set<number>();
    for (const { at, cell } of decided) {
      const rates = [-TOLERANCE_DB, 0, TOLERANCE_DB].map((slackDb) => cell.rates(slackDb));
      const [low, { downMbps, upMbps, tier }, high] = rates;
      // By a level on a threshold either rate may be right.
      if (Math.abs(high.downMbps - low.downMbps) > 0.05 || high.upMbps !== low.upMbps) continue;
      speeds.add(downMbps);
      isAsPlain.push(Math.abs(out.rateDown[at] / 10 - downMbps) < 0.11);
      isAsPlain.push(Math.abs(out.rateUp[at] / 10 - upMbps) < 0.051);
      if (high.tier !== low.tier) continue;
      const isUpToBlame = tier === 0 && downMbps >= input.request.plans[1].downMbps;
      isAsPlain.push(out.tier[at] === tier, out.upOnlyFails[at] === (isUpToBlame ? 1 : 0));
    }
    expect(shareOf(isAsPlain)).toBeGreaterThanOrEqual(least);
    expect(isAsPlain.length).toBeGreaterThan(decided.length);
    expect(speeds.size).toBeGreaterThan(3);
  });

  it("has its probability", () => {
    const isAsPlain = decided.map(({ at, cell }) => Math.abs(out.probability[at] / 10_000 - cell.probability) < 0.01);
    expect(shareOf(isAsPlain)).toBeGreaterThanOrEqual(least);
    const between = decided.filter(({ cell: { probability } }) => probability > 0.05 && probability < 0.95);
    expect(between.length).toBeGreaterThan(20);
  });
});

describe("a map whose rows are kept", () => {
  it.each([0, 1, 2, 3])("is the map computed anew once sector %i has turned", (sector) => {
    const traits = NETWORKS["ports that differ"];
    const before = drawNetwork(traits);
    const { width, height } = before.window;
    const job = buildLayerJob(before);
    const rows = Array.from({ length: height }, () => createRow(job));
    const out = createStripRasters(width, height, true);
    computeStrip({ job, fromRow: 0, rows: height, out, kept: { rows, changed: null } });
    const sectors = before.request.sectors.map((own, index) =>
      index === sector ? { ...own, azimuthDeg: (own.azimuthDeg + 140) % 360 } : own,
    );
    const request = { ...before.request, sectors };
    const turned = buildLayerJob({ ...before, request, links: linkBudgets(request, before.patterns) });
    computeStrip({ job: turned, fromRow: 0, rows: height, out, kept: { rows, changed: [sector] } });
    const anew = createStripRasters(width, height, true);
    computeStrip({ job: turned, fromRow: 0, rows: height, out: anew });
    expect(out).toEqual(anew);
  });
});
