import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { type CoverageRequest, parseCoverageRequest } from "@fellmark/network";

/** Samples a side of a 3-arc-second tile, shared edges included. */
const SIDE = 1201;

/** Place of the tile below: open ocean, so that nobody takes it for a real place. */
export const TILE = { west: -31, south: 12, east: -30, name: "N12W031.hgt" };

/** Writes one 3" tile of invented hills, 60 to 340 m, with `hole` (column, row) cells left void. */
export function writeTile(dir: string, hole: (column: number, row: number) => boolean = () => false): void {
  const heights = Buffer.alloc(SIDE * SIDE * 2);
  // Sines by column, row and diagonal: a sine for every cell would take most of the time of a fast test.
  const across = Float64Array.from({ length: SIDE }, (_, column) => 90 * Math.sin(column / 19));
  const down = Float64Array.from({ length: SIDE }, (_, row) => Math.cos(row / 23));
  const diagonal = Float64Array.from({ length: 2 * SIDE }, (_, sum) => 50 * Math.sin(sum / 7));
  for (let row = 0; row < SIDE; row++) {
    for (let column = 0; column < SIDE; column++) {
      const hills = 200 + across[column] * down[row] + diagonal[column + row];
      heights.writeInt16BE(hole(column, row) ? -32768 : Math.round(hills), (row * SIDE + column) * 2);
    }
  }
  mkdirSync(dir, { recursive: true });
  writeFileSync(join(dir, TILE.name), heights);
}

interface Change {
  lon?: number;
  radiusM?: number;
  zoom?: number;
  rule?: string;
  sets?: string[];
}

/** Two masts 700 m apart, three sectors, two plans. */
export function buildSmallRequest({ lon = -30.5, radiusM = 1500, zoom = 12, rule, sets = ["default"] }: Change = {}) {
  const channel = { centreMhz: 5600, widthMhz: 20 };
  const sector = { antenna: "panel", radio: "r1", heightAglM: 30, powerDbm: 19, downtiltDeg: 2, channel };
  return parseCoverageRequest({
    version: 1,
    name: "small",
    area: { radiusM, zoom },
    terrain: { sets },
    model: { clutter: { class: "open" } },
    sites: [
      { id: "a", lon, lat: 12.5 },
      { id: "b", lon, lat: 12.5063 },
    ],
    antennas: [
      { id: "panel", kind: "tr38901" },
      { id: "cpe", kind: "isotropic", gainDbi: 16 },
    ],
    radios: [{ id: "r1", table: "802.11ax" }],
    sectors: [
      { ...sector, id: "a-n", site: "a", azimuthDeg: 0, ...(rule === undefined ? {} : { rule }) },
      { ...sector, id: "a-s", site: "a", azimuthDeg: 180 },
      { ...sector, id: "b-e", site: "b", azimuthDeg: 90, channel: { centreMhz: 5640, widthMhz: 20 } },
    ],
    cpe: { heightAglM: 6, maxHeightAglM: 12, antenna: "cpe", radio: "r1", powerDbm: 19 },
    plans: [
      { id: "p100", downMbps: 100, upMbps: 20 },
      { id: "p25", downMbps: 25, upMbps: 5 },
    ],
  });
}

/** One that keeps the child busy for seconds: long enough to be met while it runs. */
export function buildLongRequest(): CoverageRequest {
  return buildSmallRequest({ radiusM: 10_000, zoom: 13 });
}
