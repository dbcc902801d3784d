import { countWorldCells, type LatticeWindow, toLatticeColumn, toLatticeRow } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import { toMilliwatts } from "@fellmark/units";
import { findDiscrimination } from "../layers/interference.ts";
import type { LayerJob } from "../layers/layer-job.ts";
import { findFadeDb, findSigmaDb } from "../layers/margins.ts";
import { createRow, NO_SECTOR, type Row } from "../layers/row.ts";
import { fillRow } from "../layers/strip.ts";
import { findBestPlan } from "../link/best-plan.ts";
import type { LinkBudget } from "../link/link-budget.ts";
import { computeKeptShare, computeSinr, findLeadingPort } from "../link/link-physics.ts";
import { computeTargetMw, readLevels } from "../sector-noise/uplink-places.ts";
import { lookUpRate, rateSteps } from "./graded-rate.ts";

/** A place that stands for those whom its sector serves. */
export interface ServedPlace {
  sector: number;
  /** Number of its plan from 1; 0 where nobody is known. */
  plan: number;
  /** By source (sectors, then emitters): level at the CPE aimed at its sector, mW per chain, as if on its channel. */
  levelMw: Float64Array;
  /** Level at the sector with the CPE's full power, mW per chain. */
  upMw: number;
  /** Share of the signal that remains after fade and confidence margins, linear. */
  margin: number;
  /** By sector: level that the CPE brings while it sends, mW per chain. */
  heardMw: Float64Array;
}

/** Cells that are looked at for each sector, on average, where its subscribers are not known. */
const PLACES_PER_SECTOR = 500;

/**
 * The subscribers of every sector that has some, at the cells that they stand in. For all others every k-th cell both
 * ways, about 500 a sector, where its server could sell some plan if nobody else were on the air: who cannot be served
 * on any channel has no say in the choice.
 */
export function findServedPlaces(job: LayerJob, request: CoverageRequest, links: readonly LinkBudget[]): ServedPlace[] {
  const { width, height } = job.window;
  const known = groupSubscribersByRow(request, job.window);
  const isKnown = new Set([...known.values()].flat().map(({ sector }) => sector));
  const stride = Math.max(1, Math.floor(Math.sqrt((width * height) / (PLACES_PER_SECTOR * links.length))));
  const first = stride >> 1;
  const row = createRow(job);
  const places: ServedPlace[] = [];
  for (let areaRow = 0; areaRow < height; areaRow++) {
    const subscribers = known.get(areaRow) ?? [];
    const isSampled = areaRow % stride === first;
    if (!isSampled && subscribers.length === 0) continue;
    fillRow(job, row, areaRow);
    for (const cell of subscribers) {
      const isReached = row.levelMw[0][cell.sector][cell.column] > 0;
      if (isReached) places.push(readPlace(job, row, cell, links[cell.sector]));
    }
    for (let column = first; isSampled && column < width; column += stride) {
      const sector = row.server[column];
      if (sector === NO_SECTOR || isKnown.has(sector)) continue;
      const place = readPlace(job, row, { column, sector, plan: 0 }, links[sector]);
      if (mayBeServed(request, links[sector], place)) places.push(place);
    }
  }
  return places;
}

function mayBeServed({ plans }: CoverageRequest, { down, up, rates }: LinkBudget, place: ServedPlace): boolean {
  const { levelMw, upMw, margin, sector } = place;
  const downSinr = computeSinr(levelMw[sector], toMilliwatts(down.noiseDbm), 0, margin);
  const upSinr = computeSinr(upMw, toMilliwatts(up.noiseDbm), 0, margin);
  return findBestPlan(plans, lookUpRate(rateSteps(rates.down), downSinr), lookUpRate(rateSteps(rates.up), upSinr)) > 0;
}

interface SubscriberCell {
  column: number;
  sector: number;
  plan: number;
}

/** Subscribers by their row of the window; those off it are left out. */
function groupSubscribersByRow(
  { subscribers, sectors, plans }: CoverageRequest,
  window: LatticeWindow,
): Map<number, SubscriberCell[]> {
  const { zoom, col0, row0, width, height } = window;
  const world = countWorldCells(zoom);
  const byRow = new Map<number, SubscriberCell[]>();
  for (const { lon, lat, sector, plan } of subscribers) {
    const column = (Math.floor(toLatticeColumn(lon, zoom)) - col0 + world) % world;
    const row = Math.floor(toLatticeRow(lat, zoom)) - row0;
    if (column >= width || row < 0 || row >= height) continue;
    const cell = {
      column,
      sector: sectors.findIndex(({ id }) => id === sector),
      plan: plans.findIndex(({ id }) => id === plan) + 1,
    };
    byRow.set(row, [...(byRow.get(row) ?? []), cell]);
  }
  return byRow;
}

/** Levels at the port that the link goes by. */
function readPlace(job: LayerJob, row: Row, { column, sector, plan }: SubscriberCell, link: LinkBudget): ServedPlace {
  const own = job.sources[sector].mast;
  const { upPerDown, isSingleStream } = job.sectors[sector];
  const [first, last] = [row.levelMw[0], row.levelMw[job.ports - 1]];
  const levels = [first, last][findLeadingPort(isSingleStream, first[sector][column], last[sector][column])];
  const gain = job.masts.map(({ site }, mast) =>
    site === job.masts[own].site ? 1 : findDiscrimination(job, row, own, mast, column),
  );
  const fadeDb = findFadeDb(job, row, column, sector);
  const sigmaDb = findSigmaDb(job, row, column, own);
  return {
    sector,
    plan,
    levelMw: Float64Array.from(job.sources, ({ mast }, source) => levels[source][column] * gain[mast]),
    upMw: levels[sector][column] * upPerDown,
    margin: computeKeptShare(fadeDb, job.confidenceFactor, sigmaDb),
    heardMw: readLevels(job, row, column, sector, computeTargetMw(link)),
  };
}
