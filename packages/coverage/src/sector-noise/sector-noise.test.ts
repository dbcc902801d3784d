import { parseCoverageRequest } from "@fellmark/network";
import { computeNoiseDbm } from "@fellmark/radio";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { toDb } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { linkBudgets } from "../link/link-budget.ts";
import { createPatterns } from "../link/patterns.ts";
import { computeSectorNoise } from "./sector-noise.ts";
import type { SenderPlaces } from "./uplink-places.ts";

/** More gain and the lobes of a plain array: two columns and ten rows of patches, 0.66 and 0.75 wavelengths apart. */
const PATCHES = {
  ...{ id: "antenna", kind: "patch-array", columns: 2, rows: 10, columnSpacingM: 0.034, rowSpacingM: 0.039 },
  ...{ designFrequencyGhz: 5.8, feedLossDb: 1 },
};
/** Less gain and hardly any lobes. */
const HORN = { id: "antenna", kind: "horn", form: "corrugated", diameterM: 0.085, slantLengthM: 0.15, lossDb: 0.2 };

interface Scene {
  antenna?: object;
  /** Level of external emitters at all bearings more than 60 degrees off the sector's, as a scan antenna of 0 dBi reads it. */
  scannedDbm?: number;
  sectors?: object[];
}

function sceneOf({ antenna = PATCHES, scannedDbm, sectors = [{}] }: Scene) {
  const channel = { centreMhz: 5800, widthMhz: 20 };
  const request = parseCoverageRequest({
    version: 1,
    area: { radiusM: 5000, zoom: 12 },
    model: { clutter: { class: "open", heightM: 0 } },
    sites: [{ id: "mast", lon: -30, lat: 12 }],
    antennas: [antenna, { id: "cpe", kind: "isotropic", gainDbi: 20 }],
    radios: [{ id: "r", table: "802.11ax" }],
    sectors: sectors.map((sector, index) => ({
      ...{ id: `s${index}`, site: "mast", antenna: "antenna", radio: "r", heightAglM: 30, azimuthDeg: 0 },
      ...{ channel, powerDbm: 20, ...sector },
    })),
    cpe: { antenna: "cpe", radio: "r", heightAglM: 6, powerDbm: 20 },
    plans: [{ id: "p", downMbps: 20, upMbps: 5 }],
    scans: scannedDbm === undefined ? [] : [scanOf(scannedDbm)],
  });
  const patterns = createPatterns(request);
  return { request, patterns, links: linkBudgets(request, patterns), catalogue: {} as TerrainCatalogue };
}

function scanOf(levelDbm: number) {
  const bearings = Array.from({ length: 36 }, (_, index) => index * 10);
  return {
    ...{ id: "scan", site: "mast", heightAglM: 30, antenna: { gainDbi: 0, widthDeg: 10 }, resolutionMhz: 20 },
    ...{ noiseFigureDb: null, polarisation: "both", statistic: "p90", at: "2026-05-04T20:00:00Z" },
    readings: bearings.map((azimuthDeg) => ({
      azimuthDeg,
      centreMhz: 5800,
      levelDbm: azimuthDeg > 60 && azimuthDeg < 300 ? levelDbm : -200,
    })),
  };
}

async function noiseOf(scene: Scene, places: SenderPlaces[] = []) {
  return computeSectorNoise(sceneOf(scene), places);
}

/** Uplink SINR on boresight, up to what is common to all antennas, dB. */
async function relativeSinrDb(scene: Scene): Promise<number> {
  const { patterns } = sceneOf(scene);
  const [{ meanDbm }] = await noiseOf(scene);
  return patterns.get("antenna", 5.8).gainDbi(0, 0, 0) - meanDbm;
}

describe("noise and interference at a sector", () => {
  it("sums to the total by cause", async () => {
    const places = [0, 1].map(() => ({
      weights: [1, 3],
      levelsMw: [Float64Array.of(1e-10, 3e-10), Float64Array.of(2e-10, 1e-9)],
    }));
    const sectors = [{}, { azimuthDeg: 120, timingGroup: "other" }];
    for (const { causes, meanDbm } of await noiseOf({ scannedDbm: -90, sectors }, places)) {
      const { thermalMw, scansMw, emittersMw, basesMw, subscribersMw } = causes;
      expect(Math.min(thermalMw, scansMw, basesMw, subscribersMw)).toBeGreaterThan(0);
      expect(toDb(thermalMw + scansMw + emittersMw + basesMw + subscribersMw)).toBeCloseTo(meanDbm, 9);
    }
  });

  it("of a scan 30 dB under the floor is nothing: less than 0.01 dB", async () => {
    const [quiet] = await noiseOf({});
    // 23 bearings, each less than the floor by 30 dB and their number, through at most the array's 17 dBi.
    const faintDbm = quiet.meanDbm - 30 - toDb(23) - 17;
    const [scanned] = await noiseOf({ scannedDbm: faintDbm });
    expect(scanned.causes.scansMw).toBeGreaterThan(0);
    expect(scanned.meanDbm - quiet.meanDbm).toBeLessThan(0.01);
  });

  it("of a scan that reads only the scanner's noise is nothing, where it would raise the noise by 5 dB", async () => {
    const { request, patterns, links, catalogue } = sceneOf({ scannedDbm: 0 });
    const levelDbm = computeNoiseDbm(20, 6);
    const readings = request.scans[0].readings.map((reading) => ({ ...reading, levelDbm }));
    const noiseWith = async (noiseFigureDb: number | null) => {
      const scans = [{ ...request.scans[0], noiseFigureDb, readings }];
      const [noise] = await computeSectorNoise({ request: { ...request, scans }, patterns, links, catalogue }, []);
      return noise.meanDbm;
    };
    const [quiet] = await noiseOf({});
    expect(await noiseWith(6)).toBeCloseTo(quiet.meanDbm, 9);
    expect((await noiseWith(null)) - quiet.meanDbm).toBeGreaterThan(5);
  });

  it("is drowned by a base of the same mast that is not in step, even on the next channel", async () => {
    const next = { azimuthDeg: 120, channel: { centreMhz: 5820, widthMhz: 20 } };
    const [together] = await noiseOf({ sectors: [{}, next] });
    const [apart] = await noiseOf({ sectors: [{}, { ...next, timingGroup: "free" }] });
    // 17 dBm a chain, 50 dB isolation, 23 dB in the next channel, on for 0.75 of the time: -57.2 dBm over a floor of -95.
    expect(together.causes.basesMw).toBe(0);
    expect(toDb(apart.causes.basesMw)).toBeLessThanOrEqual(16.99 - 50 - 23 - 1.25 + 0.01);
    expect(apart.meanDbm - together.meanDbm).toBeGreaterThan(10);
  });
});

it("lets the antenna of less gain win under noise and lose without it", async () => {
  const leadDb = async (scannedDbm?: number) => {
    const noise = scannedDbm === undefined ? {} : { scannedDbm };
    return (await relativeSinrDb({ antenna: HORN, ...noise })) - (await relativeSinrDb({ antenna: PATCHES, ...noise }));
  };
  expect(await leadDb()).toBeLessThan(-1);
  expect(await leadDb(-75)).toBeGreaterThan(1);
  let [lowDbm, highDbm] = [-130, -75];
  while (highDbm - lowDbm > 0.1) {
    const middle = (lowDbm + highDbm) / 2;
    if ((await leadDb(middle)) > 0) highDbm = middle;
    else lowDbm = middle;
  }
  console.info(
    `horn against patches: ${(await leadDb()).toFixed(1)} dB in quiet, ${(await leadDb(-75)).toFixed(1)} dB in noise;`,
  );
  console.info(`they cross where the external emitters read ${highDbm.toFixed(1)} dBm per 10 degrees`);
  expect(highDbm).toBeGreaterThan(-125);
  expect(highDbm).toBeLessThan(-80);
});
