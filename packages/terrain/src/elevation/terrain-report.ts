import { toErrorRecord } from "@fellmark/units";
import type { RefusedFile, TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import type { LonLatBox, TerrainFile } from "../catalogue/terrain-file.ts";
import type { TerrainSet } from "../catalogue/terrain-sets.ts";
import { readCells } from "../raster/read-cells.ts";

const CELLS_AT_ONCE = 4_000_000;

/** What reading a whole file shows. */
export interface FileReport {
  file: TerrainFile;
  cells: number;
  voidCells: number;
  /** NaN where no cell is known. */
  lowestAmslM: number;
  highestAmslM: number;
}

export interface TerrainReport {
  fingerprint: string;
  sets: TerrainSet[];
  files: FileReport[];
  /** Files refused by their header, and those whose cells turned out to be damaged. */
  refused: RefusedFile[];
  /** Around all files; null where there is none. Does not look across the antimeridian. */
  bbox: LonLatBox | null;
}

/** Reads every cell of a catalogue and reports on each file. */
export async function terrainReport(catalogue: TerrainCatalogue): Promise<TerrainReport> {
  const files: FileReport[] = [];
  const refused = [...catalogue.refused];
  for (const file of catalogue.files) {
    try {
      files.push(await reportOn(file));
    } catch (error) {
      refused.push({ name: file.name, reason: toErrorRecord(error).detail });
    }
  }
  const { fingerprint, sets } = catalogue;
  return { fingerprint, sets, files, refused, bbox: around(files.map(({ file }) => file.bbox)) };
}

async function reportOn(file: TerrainFile): Promise<FileReport> {
  const { widthPx: width, heightPx } = file;
  const report = { file, cells: width * heightPx, voidCells: 0, lowestAmslM: Infinity, highestAmslM: -Infinity };
  const rows = Math.max(1, Math.floor(CELLS_AT_ONCE / width));
  for (let row = 0; row < heightPx; row += rows) {
    const rect = { col: 0, row, width, height: Math.min(rows, heightPx - row) };
    const values = new Float32Array(width * rect.height).fill(Number.NaN);
    await readCells(file, { col: 0, row: 0 }, { rect, values });
    for (const value of values) {
      if (Number.isNaN(value)) report.voidCells++;
      if (value < report.lowestAmslM) report.lowestAmslM = value;
      if (value > report.highestAmslM) report.highestAmslM = value;
    }
  }
  if (report.voidCells < report.cells) return report;
  return { ...report, lowestAmslM: Number.NaN, highestAmslM: Number.NaN };
}

function around(boxes: readonly LonLatBox[]): LonLatBox | null {
  if (boxes.length === 0) return null;
  return [
    Math.min(...boxes.map((box) => box[0])),
    Math.min(...boxes.map((box) => box[1])),
    Math.max(...boxes.map((box) => box[2])),
    Math.max(...boxes.map((box) => box[3])),
  ];
}
