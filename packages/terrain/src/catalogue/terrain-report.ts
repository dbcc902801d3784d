import { formatCrsName } from "@fellmark/geodesy";
import { toErrorRecord } from "@fellmark/units";
import { LEAST_CLUTTER_M } from "../clutter/clutter-table.ts";
import { LEGENDS } from "../clutter/legends.ts";
import type { CellRect, RasterHeader } from "../raster/raster-header.ts";
import { readCells } from "../raster/read-cells.ts";
import { computeReadingLimit } from "../sample/reading-limit.ts";
import type { RefusedFile, TerrainCatalogue } from "./open-catalogue.ts";
import type { LonLatBox, TerrainFile } from "./terrain-file.ts";
import type { TerrainSet } from "./terrain-sets.ts";

const CELLS_AT_ONCE = 4_000_000;

/** Most codes that are counted: more than any land cover has. A raster of heights by mistake would have millions. */
const MAX_CODES = 1000;

/** A code of a land-cover raster. */
export interface CodeShare {
  code: number;
  /** Name in the set's legend; null where the legend does not have the code. */
  name: string | null;
  cells: number;
}

/** Facts about a file after its cells were read. */
export interface FileReport {
  file: TerrainFile;
  /** Name of its reference system. */
  crs: string;
  cells: number;
  /** Cells in the south that were not read: the file holds more than one of its size may have read. */
  unreadCells: number;
  voidCells: number;
  /** Lowest and highest value, above sea level, or above the ground for canopy and buildings; NaN where no cell is known. */
  lowestM: number;
  highestM: number;
  /** Cells of canopy or buildings that are 2 m high or more; 0 for other kinds. */
  coveredCells: number;
  /** Codes of land cover, most frequent first; empty for other kinds. */
  codes: CodeShare[];
}

export interface TerrainReport {
  fingerprint: string;
  sets: TerrainSet[];
  files: FileReport[];
  /** Files with a refused header and files with damaged cells. */
  refused: RefusedFile[];
  /** Box around all files; null where there are none. It does not join across the antimeridian. */
  bbox: LonLatBox | null;
}

/** Reads every cell of a catalogue and reports on each file. */
export async function reportTerrain(catalogue: TerrainCatalogue): Promise<TerrainReport> {
  const files: FileReport[] = [];
  const refused = [...catalogue.refused];
  for (const file of catalogue.files) {
    try {
      files.push(await reportFile(file, catalogue.sets.find(({ name }) => name === file.set) as TerrainSet));
    } catch (error) {
      refused.push({ name: file.name, reason: toErrorRecord(error).detail });
    }
  }
  const { fingerprint, sets } = catalogue;
  return { fingerprint, sets, files, refused, bbox: joinBoxes(files.map(({ file }) => file.bbox)) };
}

async function reportFile(file: TerrainFile, set: TerrainSet): Promise<FileReport> {
  const report: FileReport = {
    file,
    crs: formatCrsName(file.crs),
    cells: file.widthPx * file.heightPx,
    unreadCells: file.widthPx * file.heightPx,
    voidCells: 0,
    lowestM: Number.POSITIVE_INFINITY,
    highestM: Number.NEGATIVE_INFINITY,
    coveredCells: 0,
    codes: [],
  };
  const counts = new Map<number, number>();
  for await (const values of readPieces(file)) {
    report.unreadCells -= values.length;
    countHeights(values, report);
    if (file.kind === "canopy" || file.kind === "buildings") report.coveredCells += countCovered(values);
    if (file.kind === "land-cover") countCodes(values, counts);
  }
  if (report.voidCells === report.cells - report.unreadCells) report.lowestM = report.highestM = Number.NaN;
  const legend = LEGENDS[set.legend ?? ""] ?? {};
  report.codes = Array.from(counts, ([code, cells]) => ({ code, name: legend[code]?.name ?? null, cells }));
  report.codes.sort((one, other) => other.cells - one.cells);
  return report;
}

/** Reads the cells of a file in pieces, from north to south, up to as many as a file of its size may have read. */
async function* readPieces(file: TerrainFile): AsyncGenerator<Float32Array> {
  const limit = computeReadingLimit([file]);
  const scratch = new Float32Array(CELLS_AT_ONCE);
  let cells = 0;
  for (const rect of listPieces(file.header)) {
    cells += rect.width * rect.height;
    if (cells > limit) return;
    const values = scratch.subarray(0, rect.width * rect.height).fill(Number.NaN);
    await readCells(file, { col: 0, row: 0 }, { rect, values });
    yield values;
  }
}

/** Cuts a raster along its blocks, so that none is decoded twice, and larger blocks along their rows: the last one is kept. */
function* listPieces({ grid: { widthPx, heightPx }, blocks }: RasterHeader): Generator<CellRect> {
  const blocksAtOnce = Math.max(1, Math.floor(CELLS_AT_ONCE / (blocks.blockWidth * blocks.blockHeight)));
  const width = Math.min(widthPx, blocks.blockWidth * blocksAtOnce);
  const blockRowsAtOnce = width < widthPx ? 1 : Math.max(1, Math.floor(CELLS_AT_ONCE / (width * blocks.blockHeight)));
  const height = blockRowsAtOnce * blocks.blockHeight;
  const rows = Math.min(height, Math.max(1, Math.floor(CELLS_AT_ONCE / width)));
  for (let top = 0; top < heightPx; top += height) {
    for (let col = 0; col < widthPx; col += width) {
      const end = Math.min(heightPx, top + height);
      for (let row = top; row < end; row += rows) {
        yield { col, row, width: Math.min(width, widthPx - col), height: Math.min(rows, end - row) };
      }
    }
  }
}

function countHeights(values: Float32Array, report: FileReport): void {
  for (const value of values) {
    if (Number.isNaN(value)) report.voidCells++;
    if (value < report.lowestM) report.lowestM = value;
    if (value > report.highestM) report.highestM = value;
  }
}

function countCovered(values: Float32Array): number {
  return values.reduce((count, heightM) => count + (heightM >= LEAST_CLUTTER_M ? 1 : 0), 0);
}

function countCodes(values: Float32Array, counts: Map<number, number>): void {
  for (const value of values) {
    const before = counts.get(value) ?? 0;
    if (!Number.isNaN(value) && (before > 0 || counts.size < MAX_CODES)) counts.set(value, before + 1);
  }
}

function joinBoxes(boxes: readonly LonLatBox[]): LonLatBox | null {
  if (boxes.length === 0) return null;
  return [
    Math.min(...boxes.map((box) => box[0])),
    Math.min(...boxes.map((box) => box[1])),
    Math.max(...boxes.map((box) => box[2])),
    Math.max(...boxes.map((box) => box[3])),
  ];
}
