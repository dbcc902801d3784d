import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { parseCoverageRequest } from "@fellmark/network";

/** Samples a side of a 3-arc-second tile, shared edges included. */
const SIDE = 1201;

/** Middle of the world, on the samples: open ocean, so that nobody takes it for a real place. */
export const MIDDLE = { lon: -30.5, lat: 12.5 };

/** Writes one 3" tile whose heights a function of column and row tells. */
export function writePlainWorld(dir: string, heightM: (column: number, row: number) => number): void {
  const heights = Buffer.alloc(SIDE * SIDE * 2);
  for (let row = 0; row < SIDE; row++) {
    for (let column = 0; column < SIDE; column++) heights.writeInt16BE(heightM(column, row), 2 * (row * SIDE + column));
  }
  mkdirSync(dir, { recursive: true });
  writeFileSync(join(dir, "N12W031.hgt"), heights);
}

interface PlainChange {
  sectors?: object[];
  sites?: object[];
  model?: object;
  [field: string]: unknown;
}

/** A request with two sectors back to back, north and south, on one channel of one mast. */
export function buildPlainRequest({ sectors, sites, model = {}, ...change }: PlainChange = {}) {
  return parseCoverageRequest({
    version: 1,
    area: { radiusM: 700, zoom: 11 },
    quality: "preview",
    model: { clutter: { class: "open" }, ...model },
    sites: sites ?? [{ id: "m", ...MIDDLE }],
    antennas: [
      { id: "panel", kind: "tr38901" },
      { id: "cpe", kind: "isotropic", gainDbi: 16 },
    ],
    radios: [{ id: "r", table: "802.11ax" }],
    sectors: (sectors ?? [{ azimuthDeg: 0 }, { azimuthDeg: 180 }]).map((own, index) => ({
      ...{ id: `s${index}`, site: "m", antenna: "panel", radio: "r", heightAglM: 30, azimuthDeg: 0, powerDbm: 14 },
      ...{ channel: { centreMhz: 5600, widthMhz: 20 }, timingGroup: "a", ...own },
    })),
    cpe: { antenna: "cpe", radio: "r", heightAglM: 6, powerDbm: 14 },
    plans: [
      { id: "fast", downMbps: 60, upMbps: 10 },
      { id: "basic", downMbps: 20, upMbps: 4 },
    ],
    outputs: ["rasters"],
    ...change,
  });
}
