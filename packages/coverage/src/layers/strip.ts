import { CELL_CLASS } from "../sweep/sweep-frame.ts";
import { tabulatedGainDbi } from "./gain-table.ts";
import { addInterference } from "./interference.ts";
import { type LayerJob, NO_DATA, NO_RATE, type SectorLayer, type StripRasters } from "./layer-job.ts";
import { NEPERS_PER_DB, NO_SECTOR, type Row } from "./row.ts";
import { emptyRowPaths, fillRowPaths, type RowPaths } from "./row-paths.ts";

/** Rows [fromRow, fromRow + rows) of the area's window, from loss to tier. */
export interface StripTask {
  kind: "strip";
  job: LayerJob;
  fromRow: number;
  rows: number;
  out: StripRasters;
}

/** Signal, noise, interference, rate and tier of every cell of the strip. */
export function computeStrip({ job, fromRow, rows, out }: StripTask): void {
  const { width } = job.window;
  const row: Row = {
    paths: job.masts.map(() => emptyRowPaths(width)),
    levelMw: job.sectors.map(() => new Float64Array(width)),
    server: new Int16Array(width),
    signalMw: new Float64Array(width),
    sameMastMw: new Float64Array(width),
    otherMastsMw: new Float64Array(width),
  };
  for (let stripRow = 0; stripRow < rows; stripRow++) {
    job.masts.forEach((mast, index) => {
      fillRowPaths(mast, fromRow + stripRow, row.paths[index]);
    });
    row.server.fill(NO_SECTOR);
    row.signalMw.fill(0);
    job.sectors.forEach((sector, index) => {
      fillLevels(sector, row.paths[sector.mast], row, index);
    });
    addInterference(job, row);
    rateRow(job, row, out, stripRow * width);
  }
}

/** Received level of one sector over the row; where it is the strongest so far, it serves. */
function fillLevels(sector: SectorLayer, paths: RowPaths, row: Row, index: number): void {
  const levelMw = row.levelMw[index];
  const { server, signalMw } = row;
  const { downBaseDbm, gasDbPerKm, table } = sector;
  const { cellClass, azimuthDeg, departureDeg, lossDb, distanceKm } = paths;
  for (let column = 0; column < levelMw.length; column++) {
    if (cellClass[column] === CELL_CLASS.outside) {
      levelMw[column] = 0;
      continue;
    }
    const gainDbi = tabulatedGainDbi(table, azimuthDeg[column], departureDeg[column]);
    const levelDbm = downBaseDbm + gainDbi - lossDb[column] - gasDbPerKm * distanceKm[column];
    const level = Math.exp(levelDbm * NEPERS_PER_DB);
    levelMw[column] = level;
    if (level > signalMw[column] && cellClass[column] <= CELL_CLASS.blocked) {
      signalMw[column] = level;
      server[column] = index;
    }
  }
}

/** Writes every layer of the row from place `at` on. */
function rateRow(job: LayerJob, row: Row, out: StripRasters, at: number): void {
  for (let column = 0; column < row.server.length; column++) {
    const server = row.server[column];
    if (server === NO_SECTOR || !inArea(job, row, column)) {
      writeNothing(job, out, at + column, inArea(job, row, column) ? CELL_CLASS.notKnown : CELL_CLASS.outside);
    } else {
      rateCell(job, row, column, out, at + column);
    }
  }
}

/** Whether any site's disc holds the cell. */
function inArea(job: LayerJob, row: Row, column: number): boolean {
  for (const { cellClass, distanceKm } of row.paths) {
    if (cellClass[column] !== CELL_CLASS.outside && distanceKm[column] <= job.radiusKm) return true;
  }
  return false;
}

function rateCell(job: LayerJob, row: Row, column: number, out: StripRasters, at: number): void {
  const server = row.server[column];
  const sector = job.sectors[server];
  const paths = row.paths[sector.mast];
  const signalMw = row.signalMw[column];
  const sameMastMw = row.sameMastMw[column];
  const noiseMw = sector.noiseDownMw + row.otherMastsMw[column];
  const distanceKm = paths.distanceKm[column];
  const fade = Math.min(1, sector.fadeFactor / (distanceKm * distanceKm * distanceKm));
  const margin = fade * job.confidenceLinear[paths.cellClass[column]];
  const down = rateIndex(sector.rateSinr, (signalMw * margin) / (noiseMw + sameMastMw * margin));
  const up = rateIndex(sector.rateSinr, (signalMw * sector.upPerDown * margin) / sector.noiseUpMw);
  const pair = down * (sector.rateSinr.length + 1) + up;
  const tier = sector.tierOf[pair];
  out.tier[at] = tier;
  out.server[at] = server + 1;
  out.upOnlyFails[at] = tier === 0 && sector.tierOfDown[pair] !== 0 ? 1 : 0;
  if (!job.wantRasters) return;
  const signalDbm = Math.log(signalMw) / NEPERS_PER_DB;
  out.loss[at] = centi(sector.freeSpaceDb + paths.lossDb[column] + sector.gasDbPerKm * distanceKm);
  out.signalDown[at] = centi(signalDbm);
  out.signalUp[at] = centi(signalDbm + sector.upMinusDownDb);
  out.sinrDown[at] = centi(signalDbm - Math.log(noiseMw + sameMastMw) / NEPERS_PER_DB);
  out.sinrUp[at] = centi(signalDbm + sector.upMinusDownDb - sector.noiseUpDbm);
  out.rateDown[at] = down === 0 ? 0 : Math.round(sector.downMbps[down - 1] * 10);
  out.rateUp[at] = up === 0 ? 0 : Math.round(sector.upMbps[up - 1] * 10);
}

/** Number of rates whose threshold the ratio reaches: 0 is none. */
function rateIndex(thresholds: Float64Array, sinr: number): number {
  let index = 0;
  while (index < thresholds.length && sinr >= thresholds[index]) index++;
  return index;
}

function writeNothing(job: LayerJob, out: StripRasters, at: number, tier: number): void {
  out.tier[at] = tier;
  out.server[at] = 0;
  out.upOnlyFails[at] = 0;
  if (!job.wantRasters) return;
  out.loss[at] = NO_DATA;
  out.signalDown[at] = NO_DATA;
  out.signalUp[at] = NO_DATA;
  out.sinrDown[at] = NO_DATA;
  out.sinrUp[at] = NO_DATA;
  out.rateDown[at] = NO_RATE;
  out.rateUp[at] = NO_RATE;
}

/** Hundredths, held inside the 16 bits and off the no-data value. */
function centi(value: number): number {
  return Math.max(NO_DATA + 1, Math.min(32_767, Math.round(value * 100)));
}
