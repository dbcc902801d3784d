import type { CoverageRequest } from "@fellmark/network";
import { toMilliwatts, toRatio } from "@fellmark/units";
import { findDiscrimination } from "../layers/interference.ts";
import type { LayerJob } from "../layers/layer-job.ts";
import { createRow, NO_SECTOR, type Row } from "../layers/row.ts";
import { fillRow } from "../layers/strip.ts";
import type { LinkBudget } from "../link/link-budget.ts";
import { groupSubscribersByCell } from "./subscriber-cells.ts";

/** Places from which a sector's subscribers send. */
export interface SenderPlaces {
  /** Busy-hour demand of each place, any unit. */
  weights: number[];
  /** For each place: level per chain at every sector, mW, with the power that the place uses. */
  levelsMw: Float64Array[];
}

/** Places drawn for a sector whose subscribers are not known. */
const DRAWN_PLACES = 64;

/**
 * Level over what the fastest rate needs, to which a subscriber turns its power down, dB. Common practice, no source.
 */
const UPLINK_RESERVE_DB = 6;

/** Range of the uplink power control, dB. Source: ECC/REC(06)04 asks for 12 dB. */
export const POWER_CONTROL_RANGE_DB = 12;

/**
 * Returns the places that the subscribers of every sector send from: the network's own, or places drawn evenly over the
 * cells that the sector serves, the same at every run.
 * @param job layers of the area on a coarse lattice.
 */
export function drawSenderPlaces(
  job: LayerJob,
  request: CoverageRequest,
  links: readonly LinkBudget[],
): SenderPlaces[] {
  const known = groupSubscribersByCell(request, job.window);
  const draws = links.map(() => createDraw(DRAWN_PLACES));
  const places = links.map((): SenderPlaces => ({ weights: [], levelsMw: [] }));
  const targetsMw = links.map(computeTargetMw);
  const row = createRow(job);
  const rowStep = chooseRowStep(job);
  const knownRows = new Set([...known.byCell.keys()].map((cell) => Math.floor(cell / job.window.width)));
  for (let areaRow = 0; areaRow < job.window.height; areaRow++) {
    if (areaRow % rowStep !== 0 && !knownRows.has(areaRow)) continue;
    fillRow(job, row, areaRow);
    for (let column = 0; column < job.window.width; column++) {
      const cell = areaRow * job.window.width + column;
      for (const { sector, weight } of known.byCell.get(cell) ?? []) {
        places[sector].weights.push(weight);
        places[sector].levelsMw.push(readLevels(job, row, column, sector, targetsMw[sector]));
      }
      const server = row.server[column];
      if (server === NO_SECTOR || known.sectors.has(server)) continue;
      draws[server].offer(cell, () => readLevels(job, row, column, server, targetsMw[server]));
    }
  }
  return places.map((own, sector) => (known.sectors.has(sector) ? own : draws[sector].places()));
}

/** Cells that are enough to draw places from; of more, only every so many rows are looked at. */
const ENOUGH_CELLS = 30_000;

function chooseRowStep({ window }: LayerJob): number {
  return Math.max(1, Math.floor((window.width * window.height) / ENOUGH_CELLS));
}

/** Level that a subscriber turns its power down to at its own sector. */
export function computeTargetMw({ up, rates }: LinkBudget): number {
  const fastestDb = rates.up.sinrDb[rates.up.sinrDb.length - 1];
  return toMilliwatts(up.noiseDbm + fastestDb + UPLINK_RESERVE_DB);
}

/** Returns the level at every sector of a subscriber in a cell that is aimed at its own. */
export function readLevels(job: LayerJob, row: Row, column: number, own: number, ownTargetMw: number): Float64Array {
  const fullMw = (sector: number) => row.levelMw[0][sector][column] * job.sectors[sector].upPerDown;
  const least = toRatio(-POWER_CONTROL_RANGE_DB);
  const control = Math.min(1, Math.max(least, ownTargetMw / fullMw(own)));
  const ownMast = job.sources[own].mast;
  return Float64Array.from(job.sectors, (_, sector) => {
    const { mast } = job.sources[sector];
    const level = fullMw(sector);
    if (level === 0 || job.masts[mast].site === job.masts[ownMast].site) return level * control;
    return level * control * findDiscrimination(job, row, ownMast, mast, column);
  });
}

/** A draw without replacement: the places whose cells have the least hashes. */
function createDraw(count: number) {
  let drawn: { hash: number; levelsMw: Float64Array }[] = [];
  let limit = Number.POSITIVE_INFINITY;
  const settle = () => {
    drawn = drawn.sort((a, b) => a.hash - b.hash).slice(0, count);
  };
  return {
    offer(cell: number, levelsOf: () => Float64Array): void {
      const hash = hashCell(cell);
      if (hash >= limit) return;
      drawn.push({ hash, levelsMw: levelsOf() });
      if (drawn.length < 2 * count) return;
      settle();
      limit = drawn[count - 1].hash;
    },
    places(): SenderPlaces {
      settle();
      return { weights: drawn.map(() => 1), levelsMw: drawn.map(({ levelsMw }) => levelsMw) };
    },
  };
}

/** Scatters a number over 32 bits. */
function hashCell(cell: number): number {
  let hash = Math.imul(cell ^ (cell >>> 16), 0x45d9f3b);
  hash = Math.imul(hash ^ (hash >>> 16), 0x45d9f3b);
  return (hash ^ (hash >>> 16)) >>> 0;
}
