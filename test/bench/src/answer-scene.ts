import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { LonLat } from "@fellmark/geodesy";
import { createSeededRandom } from "@fellmark/testkit";

/** Of the tile that the scenes stand on, and its samples a side. */
export const TILE = { name: "N44W072.hgt", west: -72, south: 44 };
const COARSE_SIDE = 1201;
const FINE_SIDE = 3601;
const PER_COARSE = 3;

/**
 * Writes the 3" tile of `terrainDir` as one of 1" (31 m): a whole degree of that step is not at hand. Between its samples
 * it is interpolated, so that it costs what a 1" tile costs, and hides no more than the 3" one.
 */
export function writeFineTile(terrainDir: string, into: string): void {
  const coarse = readFileSync(join(terrainDir, TILE.name));
  const heightAt = (row: number, column: number) => coarse.readInt16BE(2 * (row * COARSE_SIDE + column));
  const fine = Buffer.alloc(2 * FINE_SIDE * FINE_SIDE);
  for (let row = 0; row < FINE_SIDE; row++) {
    const north = Math.min(COARSE_SIDE - 2, Math.floor(row / PER_COARSE));
    const down = row / PER_COARSE - north;
    for (let column = 0; column < FINE_SIDE; column++) {
      const west = Math.min(COARSE_SIDE - 2, Math.floor(column / PER_COARSE));
      const across = column / PER_COARSE - west;
      const upper = heightAt(north, west) * (1 - across) + heightAt(north, west + 1) * across;
      const lower = heightAt(north + 1, west) * (1 - across) + heightAt(north + 1, west + 1) * across;
      fine.writeInt16BE(Math.round(upper * (1 - down) + lower * down), 2 * (row * FINE_SIDE + column));
    }
  }
  writeFileSync(join(into, TILE.name), fine);
}

/** What networks and coverages of the benches share. */
const EQUIPMENT = {
  version: 1,
  model: { clutter: { class: "open", heightM: 0 } },
  antennas: [
    { id: "panel", kind: "f1336", gainDbi: 16, azimuthWidthDeg: 90, form: "average" },
    { id: "dish", kind: "f1245", gainDbi: 24, diameterM: 0.35 },
  ],
  radios: [{ id: "radio", table: "802.11ax" }],
  plans: [
    { id: "fast", downMbps: 100, upMbps: 20 },
    { id: "basic", downMbps: 25, upMbps: 5 },
  ],
};

const CPE = { antenna: "dish", radio: "radio", heightAglM: 6, maxHeightAglM: 12, powerDbm: 20 };

const CHANNELS_MHZ = [5500, 5520, 5540, 5560, 5580, 5600];

interface Site extends LonLat {
  id: string;
}

/** Three sectors a site, each on the next of six channels. */
function sectorsOf(sites: readonly Site[]) {
  return sites.flatMap(({ id: site }, index) =>
    [0, 120, 240].map((azimuthDeg, look) => ({
      ...{ id: `${site}-${azimuthDeg}`, site, antenna: "panel", radio: "radio", heightAglM: 30, azimuthDeg },
      ...{ downtiltDeg: 2, powerDbm: 20 },
      channel: { centreMhz: CHANNELS_MHZ[(index + look) % CHANNELS_MHZ.length], widthMhz: 20 },
    })),
  );
}

/** 200 sites and 600 sectors over the tile: one in every field of 10 by 20, off its middle by chance. */
export function largeNetwork(seed: number) {
  const random = createSeededRandom(seed);
  const sites = Array.from({ length: 200 }, (_, index) => ({
    id: `m${index}`,
    lon: TILE.west + 0.03 + (0.94 * ((index % 10) + 0.2 + 0.6 * random())) / 10,
    lat: TILE.south + 0.03 + (0.94 * (Math.floor(index / 10) + 0.2 + 0.6 * random())) / 20,
  }));
  return { ...EQUIPMENT, name: "200 sites", zoom: 12, sites, sectors: sectorsOf(sites), cpes: [{ id: "cpe", ...CPE }] };
}

/** Three sites some 12 km apart, which serve and disturb each other. */
export function threeSites() {
  const sites = [
    { id: "a", lon: -71.5, lat: 44.45 },
    { id: "b", lon: -71.35, lat: 44.5 },
    { id: "c", lon: -71.45, lat: 44.58 },
  ];
  return {
    ...EQUIPMENT,
    name: "3 sites",
    area: { radiusM: 10_000, zoom: 12 },
    sites,
    sectors: sectorsOf(sites),
    cpe: CPE,
  };
}

/** Places drawn evenly over a box. */
export function drawnPlaces(count: number, [west, south, east, north]: number[], seed: number): LonLat[] {
  const random = createSeededRandom(seed);
  return Array.from({ length: count }, () => ({
    lon: west + (east - west) * random(),
    lat: south + (north - south) * random(),
  }));
}
