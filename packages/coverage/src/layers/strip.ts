import { CELL_CLASS } from "../sweep/sweep-frame.ts";
import { tabulatedGainDbi } from "./gain-table.ts";
import { type LayerJob, NO_DATA, NO_RATE, type SectorLayer, type StripRasters } from "./layer-job.ts";
import { offAimGainDbi } from "./off-aim.ts";
import { emptyRowPaths, fillRowPaths, type RowPaths } from "./row-paths.ts";

/** Rows [fromRow, fromRow + rows) of the area's window, from loss to tier. */
export interface StripTask {
  kind: "strip";
  job: LayerJob;
  fromRow: number;
  rows: number;
  out: StripRasters;
}

const NEPERS_PER_DB = Math.LN10 / 10;
const NO_SECTOR = -1;

/** What is known of one row while it is being computed. */
interface Row {
  paths: RowPaths[];
  /** Per sector: received level per chain with the kit aimed at it, dBm and mW. */
  levelDbm: Float64Array[];
  levelMw: Float64Array[];
}

/** Signal, noise, interference, rate and tier of every cell of the strip. */
export function computeStrip(task: StripTask): void {
  const { job } = task;
  const { width } = job.window;
  const row: Row = {
    paths: job.masts.map(() => emptyRowPaths(width)),
    levelDbm: job.sectors.map(() => new Float64Array(width)),
    levelMw: job.sectors.map(() => new Float64Array(width)),
  };
  for (let stripRow = 0; stripRow < task.rows; stripRow++) {
    job.masts.forEach((mast, index) => {
      fillRowPaths(mast, task.fromRow + stripRow, row.paths[index] as RowPaths);
    });
    job.sectors.forEach((sector, index) => {
      fillLevels(sector, row, index);
    });
    for (let column = 0; column < width; column++) rateCell(job, row, column, task.out, stripRow * width + column);
  }
}

/** Received level of one sector over the row. */
function fillLevels(sector: SectorLayer, row: Row, index: number): void {
  const paths = row.paths[sector.mast] as RowPaths;
  const levelDbm = row.levelDbm[index] as Float64Array;
  const levelMw = row.levelMw[index] as Float64Array;
  const { downBaseDbm, gasDbPerKm, table } = sector;
  for (let column = 0; column < levelDbm.length; column++) {
    if (paths.cellClass[column] === CELL_CLASS.outside) {
      levelMw[column] = 0;
      continue;
    }
    const gainDbi = tabulatedGainDbi(table, paths.azimuthDeg[column] as number, paths.departureDeg[column] as number);
    const level =
      downBaseDbm + gainDbi - paths.distanceDb[column] - paths.excessDb[column] - gasDbPerKm * paths.distanceKm[column];
    levelDbm[column] = level;
    levelMw[column] = Math.exp(level * NEPERS_PER_DB);
  }
}

/** Writes every layer of one cell. */
function rateCell(job: LayerJob, row: Row, column: number, out: StripRasters, at: number): void {
  if (!inArea(job, row, column)) {
    writeNothing(job, out, at, CELL_CLASS.outside);
    return;
  }
  const server = strongestKnown(job, row, column);
  if (server === NO_SECTOR) {
    writeNothing(job, out, at, CELL_CLASS.notKnown);
    return;
  }
  const sector = job.sectors[server] as SectorLayer;
  const paths = row.paths[sector.mast] as RowPaths;
  const signalMw = row.levelMw[server]?.[column] as number;
  const upMw = signalMw * sector.upPerDown;
  const distanceKm = paths.distanceKm[column];
  const fade = Math.min(1, sector.fadeFactor / (distanceKm * distanceKm * distanceKm));
  const margin = fade * job.confidenceLinear[paths.cellClass[column] as number];
  const sameMastMw = interferenceMw(job, row, column, server, true);
  const otherMastMw = interferenceMw(job, row, column, server, false);
  const noiseMw = sector.noiseDownMw + otherMastMw;
  const down = rateIndex(sector.rateSinr, (signalMw * margin) / (noiseMw + sameMastMw * margin));
  const up = rateIndex(sector.rateSinr, (upMw * margin) / sector.noiseUpMw);
  const pair = down * (sector.rateSinr.length + 1) + up;
  const tier = sector.tierOf[pair];
  out.tier[at] = tier;
  out.server[at] = server + 1;
  out.upOnlyFails[at] = tier === 0 && sector.tierOfDown[pair] !== 0 ? 1 : 0;
  if (!job.wantRasters) return;
  const signalDbm = row.levelDbm[server]?.[column] as number;
  out.loss[at] = centi(
    sector.freeSpaceDb + paths.distanceDb[column] + paths.excessDb[column] + sector.gasDbPerKm * distanceKm,
  );
  out.signalDown[at] = centi(signalDbm);
  out.signalUp[at] = centi(signalDbm + sector.upMinusDownDb);
  out.sinrDown[at] = centi(signalDbm - Math.log(noiseMw + sameMastMw) / NEPERS_PER_DB);
  out.sinrUp[at] = centi(signalDbm + sector.upMinusDownDb - sector.noiseUpDbm);
  out.rateDown[at] = Math.round((down === 0 ? 0 : sector.downMbps[down - 1]) * 10);
  out.rateUp[at] = Math.round((up === 0 ? 0 : sector.upMbps[up - 1]) * 10);
}

/** Whether any site's disc holds the cell. */
function inArea(job: LayerJob, row: Row, column: number): boolean {
  const radiusKm = job.radiusM / 1000;
  for (let mast = 0; mast < job.masts.length; mast++) {
    const paths = row.paths[mast] as RowPaths;
    if (paths.cellClass[column] !== CELL_CLASS.outside && paths.distanceKm[column] <= radiusKm) return true;
  }
  return false;
}

/** The sector with the strongest signal among those whose path is known. */
function strongestKnown(job: LayerJob, row: Row, column: number): number {
  let best = NO_SECTOR;
  let bestMw = 0;
  for (let index = 0; index < job.sectors.length; index++) {
    const sight = row.paths[(job.sectors[index] as SectorLayer).mast]?.cellClass[column] as number;
    const levelMw = row.levelMw[index]?.[column] as number;
    if (sight <= CELL_CLASS.blocked && levelMw > bestMw) {
      best = index;
      bestMw = levelMw;
    }
  }
  return best;
}

/**
 * Interference per chain at the kit while it is aimed at `server`, mW: from the sectors of the server's own mast (same
 * direction, same gain), or from those of all other masts (gain off the aim). A path that is not known counts as
 * free space, the worst it can be.
 */
function interferenceMw(job: LayerJob, row: Row, column: number, server: number, sameMast: boolean): number {
  const wanted = job.sectors[server] as SectorLayer;
  let totalMw = 0;
  for (let index = 0; index < job.sectors.length; index++) {
    const coupling = wanted.coupling[index];
    const other = job.sectors[index] as SectorLayer;
    if (coupling === 0 || (other.mast === wanted.mast) !== sameMast) continue;
    const levelMw = row.levelMw[index]?.[column] * coupling;
    totalMw += sameMast ? levelMw : levelMw * discrimination(job, row, column, wanted.mast, other.mast);
  }
  return totalMw;
}

/** Gain of the kit toward another mast relative to its gain toward its own, linear. */
function discrimination(job: LayerJob, row: Row, column: number, aim: number, other: number): number {
  if (job.kitTable === null) return job.pointingLinear;
  const own = row.paths[aim] as RowPaths;
  const from = row.paths[other] as RowPaths;
  const gainDbi = offAimGainDbi(
    job.kitTable,
    reverse(own.azimuthDeg[column]),
    own.arrivalDeg[column] as number,
    reverse(from.azimuthDeg[column]),
    from.arrivalDeg[column] as number,
  );
  return Math.exp((gainDbi - job.kitPeakGainDbi) * NEPERS_PER_DB) * job.pointingLinear;
}

function reverse(azimuthDeg: number): number {
  return azimuthDeg < 180 ? azimuthDeg + 180 : azimuthDeg - 180;
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
  for (const level of [out.loss, out.signalDown, out.signalUp, out.sinrDown, out.sinrUp]) level[at] = NO_DATA;
  out.rateDown[at] = NO_RATE;
  out.rateUp[at] = NO_RATE;
}

/** Hundredths, held inside the 16 bits and off the no-data value. */
function centi(value: number): number {
  return Math.max(NO_DATA + 1, Math.min(32_767, Math.round(value * 100)));
}
