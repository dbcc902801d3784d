import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { CAUSES, type Cause, NO_DATA, NO_RATE, type StripRasters, type StripSink } from "@fellmark/coverage";
import type { LatticeWindow } from "@fellmark/geodesy";
import { CELL_CLASS } from "@fellmark/sweep";
import { createRasterWriter, type RasterWriter } from "@fellmark/tiers";
import type { ResultFacts } from "./describe-result.ts";

/** A published raster: its file name, what its numbers mean, and where a strip holds it. */
interface RasterLayer {
  name: string;
  kind: "int16" | "uint16";
  scale: number;
  unit: string;
  noData: number;
  readRows(strip: StripRasters, cells: number): Int16Array | Uint16Array;
}

type LevelName = "loss" | "signalDown" | "signalUp" | "sinrDown" | "sinrUp" | Cause;

function createLevelLayer(name: LevelName, unit: string): RasterLayer {
  const rowsOf = (strip: StripRasters, cells: number) => strip[name].subarray(0, cells);
  return { name, kind: "int16", scale: 0.01, unit, noData: NO_DATA, readRows: rowsOf };
}

function createSpeedLayer(name: "rateDown" | "rateUp"): RasterLayer {
  const rowsOf = (strip: StripRasters, cells: number) => strip[name].subarray(0, cells);
  return { name, kind: "uint16", scale: 0.1, unit: "Mbit/s", noData: NO_RATE, readRows: rowsOf };
}

/** That the cheapest plan holds both ways. */
const PROBABILITY: RasterLayer = {
  name: "probability",
  kind: "uint16",
  scale: 0.0001,
  unit: "1",
  noData: NO_RATE,
  readRows: (strip, cells) => strip.probability.subarray(0, cells),
};

/** Numbers from 1, 0 for none; no data outside the area and where not known. */
function createChoiceLayer(name: "tier" | "server" | "secondServer", unit: string): RasterLayer {
  const rowsOf = (strip: StripRasters, cells: number) =>
    Uint16Array.from(strip[name].subarray(0, cells), (value, cell) =>
      strip.tier[cell] >= CELL_CLASS.notKnown ? NO_RATE : value,
    );
  return { name, kind: "uint16", scale: 1, unit, noData: NO_RATE, readRows: rowsOf };
}

const LAYERS: readonly RasterLayer[] = [
  createLevelLayer("loss", "dB"),
  createLevelLayer("signalDown", "dBm"),
  createLevelLayer("signalUp", "dBm"),
  createLevelLayer("sinrDown", "dB"),
  createLevelLayer("sinrUp", "dB"),
  createSpeedLayer("rateDown"),
  createSpeedLayer("rateUp"),
  createChoiceLayer("tier", "number of the plan"),
  createChoiceLayer("server", "number of the sector"),
  PROBABILITY,
];

/** Layers that only a request with several transmitters has. */
const SHARED_LAYERS: readonly RasterLayer[] = [
  createChoiceLayer("secondServer", "number of the sector"),
  ...CAUSES.map((cause) => createLevelLayer(cause, "dBm")),
];

/** All rasters of a coverage, written strip by strip. */
export interface RasterSet {
  write: StripSink;
  /** Names of the files, relative to the folder of the result. */
  close(): Promise<string[]>;
  abort(): Promise<void>;
}

/** Starts `rasters/NAME.tif` in the folder of the result; who interferes is of interest where several send. */
export async function createRasterSet(
  outDir: string,
  window: LatticeWindow,
  { isShared, facts }: { isShared: boolean; facts: ResultFacts },
): Promise<RasterSet> {
  const layers = isShared ? [...LAYERS, ...SHARED_LAYERS] : LAYERS;
  await mkdir(join(outDir, "rasters"), { recursive: true });
  const names = layers.map((layer) => `rasters/${layer.name}.tif`);
  const writers: RasterWriter[] = await Promise.all(
    layers.map(({ name, kind, scale, unit, noData }, index) =>
      createRasterWriter(join(outDir, names[index]), window, kind, {
        scale,
        offset: 0,
        unit,
        noData,
        name,
        facts: listKnownFacts(facts),
      }),
    ),
  );
  return {
    async write(fromRow, rows, strip) {
      const cells = rows * window.width;
      await Promise.all(
        writers.map((writer, index) => writer.writeRows(fromRow, layers[index].readRows(strip, cells))),
      );
    },
    async close() {
      await Promise.all(writers.map((writer) => writer.close()));
      return names;
    },
    async abort() {
      await Promise.all(writers.map((writer) => writer.abort()));
    },
  };
}

/** A tag of a raster has no null: what is not stated has no tag. */
function listKnownFacts(facts: ResultFacts): Record<string, string | number> {
  return Object.fromEntries(Object.entries(facts).filter(([, value]) => value !== null));
}
