import { CELL_CLASS } from "@fellmark/sweep";
import { NEPERS_PER_DB } from "@fellmark/units";
import { computeDownRateMbps, findDownReserve } from "../link/down-link.ts";
import { computeHoldProbability, computeSinr, findLeadingPort } from "../link/link-physics.ts";
import { computeUpRateMbps, findUpReserve } from "../link/up-link.ts";
import { fillDownLink, fillUpLink } from "./cell-link.ts";
import { readFieldToward } from "./gain-table.ts";
import { addInterference, aimCpes } from "./interference.ts";
import { CAUSES, type LayerJob, NO_DATA, NO_RATE, type SourceLayer, type StripRasters } from "./layer-job.ts";
import { findFadeDb, findSigmaDb } from "./margins.ts";
import { createRow, NO_SECTOR, type Row } from "./row.ts";
import { fillRowPaths, markServiceDisc, type RowPaths } from "./row-paths.ts";
import { chooseServers, moveServers } from "./servers.ts";

/** Rows [fromRow, fromRow + rows) of the area's window, from loss to tier. */
export interface StripTask {
  job: LayerJob;
  fromRow: number;
  rows: number;
  out: StripRasters;
  /** Rows to keep their state in; absent: nothing is kept. */
  kept?: KeptRows;
  /** For measurements: leave out uplink, rate and tier. */
  stopAfter?: "sinr";
}

/** State of the rows of a strip between two computations of it. */
export interface KeptRows {
  rows: Row[];
  /** Sources that have changed since the rows were filled, one of them at the least; null while they are empty. */
  changed: number[] | null;
}

/** The module that threads load for a StripTask. */
export const STRIP_MODULE = new URL("../../dist/layers/strip.js", import.meta.url).href;

export function runTask(task: StripTask): void {
  computeStrip(task);
}

/** Signal, noise, interference, rate and tier of every cell of the strip. */
export function computeStrip({ job, fromRow, rows, out, kept, stopAfter }: StripTask): void {
  const { width } = job.window;
  const single = kept ? null : reuseRow(job);
  for (let stripRow = 0; stripRow < rows; stripRow++) {
    const row = single ?? (kept as KeptRows).rows[stripRow];
    if (kept?.changed) refillRow(job, row, kept.changed);
    else fillRow(job, row, fromRow + stripRow);
    for (let port = 0; port < job.ports; port++) addInterference(job, row, port);
    if (stopAfter !== "sinr") rateRow(job, row, out, stripRow * width);
  }
}

/** The row that this thread fills again and again: V8 does not count shared memory, so leaving rows to it piles them up. */
let scratch: { shape: string; row: Row } | undefined;

function reuseRow(job: LayerJob): Row {
  const isSteady = job.sectors.every(({ activity }) => activity === null);
  const shape = [
    job.window.width,
    job.masts.length,
    job.sources.length,
    job.ports,
    isSteady,
    job.clutter === null,
  ].join(" ");
  if (scratch?.shape !== shape) scratch = { shape, row: createRow(job) };
  return scratch.row;
}

/** Paths, levels and the best two servers of one row. */
export function fillRow(job: LayerJob, row: Row, areaRow: number): void {
  const { width } = job.window;
  if (job.clutter) row.clutter.set(job.clutter.subarray(areaRow * width, (areaRow + 1) * width));
  row.inArea.fill(0);
  for (const mast of job.masts) {
    if (!mast.isEmitter) markServiceDisc(mast, areaRow, row.inArea);
  }
  if (job.areaMask) clearOutside(job.areaMask.subarray(areaRow * width, (areaRow + 1) * width), row.inArea);
  job.masts.forEach((mast, index) => {
    fillRowPaths(mast, areaRow, row.inArea, row.clutter, row.paths[index]);
  });
  row.aimedAt.fill(NOT_AIMED);
  job.sources.forEach((_, source) => {
    fillSource(job, row, source);
  });
  chooseServers(job, row);
  aimCpes(job, row);
}

function clearOutside(maskRow: Uint8Array, inArea: Uint8Array): void {
  for (let column = 0; column < inArea.length; column++) inArea[column] &= maskRow[column];
}

/** Of the masts that CPEs are aimed at: none yet. */
const NOT_AIMED = -2;

/** Levels of the changed sources over paths that are there, and what follows for servers and CPEs. */
function refillRow(job: LayerJob, row: Row, changed: readonly number[]): void {
  for (const source of changed) fillSource(job, row, source);
  for (const source of changed) {
    if (source < job.sectors.length) moveServers(job, row, source);
  }
  aimCpes(job, row);
}

function fillSource(job: LayerJob, row: Row, index: number): void {
  const source = job.sources[index];
  for (let port = 0; port < job.ports; port++) {
    fillLevels(row.levelMw[port][index], source, row.paths[source.mast], port);
  }
}

/** Received level of one source over the row. */
function fillLevels(levelMw: Float32Array, source: SourceLayer, paths: RowPaths, port: number): void {
  const { tables, frame, fill, baseMw } = source;
  const table = tables[Math.min(port, tables.length - 1)];
  const { cellClass, pathGain, outEast, outNorth, outUp } = paths;
  const [aheadEast, aheadNorth, aheadUp, rightEast, rightNorth, rightUp, upEast, upNorth, upUp] = frame;
  for (let column = 0; column < levelMw.length; column++) {
    if (pathGain[column] === 0) {
      levelMw[column] = 0;
      continue;
    }
    const east = outEast[column];
    const north = outNorth[column];
    const up = outUp[column];
    const ahead = aheadEast * east + aheadNorth * north + aheadUp * up;
    const right = rightEast * east + rightNorth * north + rightUp * up;
    const field = readFieldToward(table, ahead, right, upEast * east + upNorth * north + upUp * up);
    levelMw[column] = baseMw * pathGain[column] * (field * field + fill[cellClass[column]]);
  }
}

/** Writes every layer of the row from place `at` on. */
function rateRow(job: LayerJob, row: Row, out: StripRasters, at: number): void {
  for (let column = 0; column < row.server.length; column++) {
    if (row.server[column] === NO_SECTOR) {
      writeNothing(job, out, at + column, row.inArea[column] === 1 ? CELL_CLASS.notKnown : CELL_CLASS.outside);
    } else {
      rateCell(job, row, column, out, at + column);
    }
  }
}

function rateCell(job: LayerJob, row: Row, column: number, out: StripRasters, at: number): void {
  const server = row.server[column];
  const sector = job.sectors[server];
  const paths = row.paths[job.sources[server].mast];
  const distanceKm = paths.distanceKm[column];
  const fadeDb = findFadeDb(job, row, column, server);
  const sigmaDb = findSigmaDb(job, row, column, job.sources[server].mast);
  const margins = { fadeDb, confidenceFactor: job.confidenceFactor };
  const ports = fillDownLink(job, row, column, sigmaDb);
  const up = fillUpLink(job, row, column, sigmaDb);
  const downMbps = computeDownRateMbps(ports, sector.down, margins);
  const upMbps = computeUpRateMbps(up, margins);
  const tier = findPlanNumber(job, downMbps, upMbps);
  out.tier[at] = tier;
  out.server[at] = server + 1;
  out.secondServer[at] = row.secondServer[column] + 1;
  out.upOnlyFails[at] = tier === 0 && findPlanNumber(job, downMbps, Infinity) !== 0 ? 1 : 0;
  if (!job.wantRasters) return;
  const port = findReportedPort(job, row, column);
  const signalDbm = Math.log(row.levelMw[port][server][column]) / NEPERS_PER_DB;
  const noiseMw = sumSteadyMw(job, row, column, port) + row.ownSiteMw[port][column];
  const gasDb = job.masts[job.sources[server].mast].gasDbPerKm * distanceKm;
  out.loss[at] = toCenti(sector.freeSpaceDb + 20 * Math.log10(distanceKm) + paths.beyondDb[column] + gasDb);
  out.signalDown[at] = toCenti(signalDbm);
  out.signalUp[at] = toCenti(signalDbm + sector.upMinusDownDb);
  out.sinrDown[at] = toCenti(signalDbm - Math.log(noiseMw) / NEPERS_PER_DB);
  out.sinrUp[at] = toCenti(signalDbm + sector.upMinusDownDb - sector.noiseUpDbm);
  out.rateDown[at] = Math.round(downMbps * 10);
  out.rateUp[at] = Math.round(upMbps * 10);
  const cheapest = job.planDownMbps.length - 1;
  const downReserve = findDownReserve(ports, sector.down, job.planDownMbps[cheapest], fadeDb);
  const upReserve = findUpReserve(up, job.planUpMbps[cheapest], fadeDb);
  out.probability[at] = Math.round(10_000 * computeHoldProbability(Math.min(downReserve, upReserve)));
  out.ownSite[at] = toLevelOrNone(row.ownSiteMw[port][column]);
  out.otherSites[at] = toLevelOrNone(row.otherSitesMw[port][column]);
  out.emitters[at] = toLevelOrNone(row.emittersMw[port][column]);
}

/** The port whose level and SINR are reported. */
function findReportedPort(job: LayerJob, row: Row, column: number): number {
  if (job.ports === 1) return 0;
  const { isSingleStream } = job.sectors[row.server[column]];
  return findLeadingPort(isSingleStream, meanSinr(job, row, column, 0), meanSinr(job, row, column, 1));
}

function meanSinr(job: LayerJob, row: Row, column: number, port: number): number {
  const signalMw = row.levelMw[port][row.server[column]][column];
  return computeSinr(signalMw, sumSteadyMw(job, row, column, port), row.ownSiteMw[port][column], 1);
}

/** Noise and mean interference of all other sites, as predicted. */
function sumSteadyMw(job: LayerJob, row: Row, column: number, port: number): number {
  const { noiseDownMw } = job.sectors[row.server[column]];
  return noiseDownMw + row.otherSitesMw[port][column] + row.emittersMw[port][column];
}

/** Number (from 1) of the first plan whose speeds both hold, or 0. */
function findPlanNumber({ planDownMbps, planUpMbps }: LayerJob, downMbps: number, upMbps: number): number {
  for (let plan = 0; plan < planDownMbps.length; plan++) {
    if (downMbps >= planDownMbps[plan] && upMbps >= planUpMbps[plan]) return plan + 1;
  }
  return 0;
}

function writeNothing(job: LayerJob, out: StripRasters, at: number, tier: number): void {
  out.tier[at] = tier;
  out.server[at] = 0;
  out.secondServer[at] = 0;
  out.upOnlyFails[at] = 0;
  if (!job.wantRasters) return;
  for (const name of ["loss", "signalDown", "signalUp", "sinrDown", "sinrUp", ...CAUSES] as const)
    out[name][at] = NO_DATA;
  out.rateDown[at] = NO_RATE;
  out.rateUp[at] = NO_RATE;
  out.probability[at] = NO_RATE;
}

/** Hundredths, held inside the 16 bits and off the no-data value. */
function toCenti(value: number): number {
  return Math.max(NO_DATA + 1, Math.min(32_767, Math.round(value * 100)));
}

function toLevelOrNone(levelMw: number): number {
  return levelMw > 0 ? toCenti(Math.log(levelMw) / NEPERS_PER_DB) : NO_DATA;
}
