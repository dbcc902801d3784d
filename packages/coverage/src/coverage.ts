import type { LatticeWindow } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { CancelledError } from "./cancelled.ts";
import { buildLayerJob } from "./layers/build-layer-job.ts";
import { emptyStripRasters, type LayerJob, type StripRasters } from "./layers/layer-job.ts";
import { type LinkBudget, linkBudgets } from "./link/link-budget.ts";
import { patternsOf } from "./link/patterns.ts";
import type { TerrainUse } from "./loss-cache.ts";
import { mastsOf } from "./mast.ts";
import { type Engine, lossOfMast, type MastLoss } from "./mast-loss.ts";
import { CELL_CLASS } from "./sweep/sweep-frame.ts";

/** Rows that one thread computes at a time: what keeps memory flat. */
const STRIP_ROWS = 64;

/** Share of the progress that the losses take. */
const LOSS_SHARE = 0.8;

/** Takes the layers strip by strip from north to south; a strip's arrays are used again once the promise settles. */
export type StripSink = (fromRow: number, rows: number, strip: StripRasters) => Promise<void>;

export interface CoverageWatch {
  signal?: AbortSignal;
  onProgress?: (share: number, stage: string) => void;
}

/** What only the layers can count; cells by tier are counted on the tier raster. */
export interface CoverageCounts {
  /** Cells without service where some plan holds down, but none holds both ways. */
  upOnlyFails: number;
  /** Per sector: cells that it serves with some plan. */
  servedCells: number[];
}

export interface Coverage {
  window: LatticeWindow;
  links: LinkBudget[];
  counts: CoverageCounts;
  /** Terrain behind each mast's loss. */
  terrain: TerrainUse[];
}

/**
 * The coverage of a request: loss of every mast, then signal, noise, rate and tier of every cell.
 * Throws InputError (power rules), TerrainError (`mast_not_known`), CancelledError.
 */
export async function computeCoverage(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  sink: StripSink,
  watch: CoverageWatch = {},
): Promise<Coverage> {
  const patterns = patternsOf(request);
  const links = linkBudgets(request, patterns);
  const { masts, mastOfSector } = mastsOf(request);
  const losses: MastLoss[] = [];
  for (const [index, mast] of masts.entries()) {
    const onProgress = (share: number) => watch.onProgress?.((LOSS_SHARE * (index + share)) / masts.length, "loss");
    losses.push(await lossOfMast(engine, catalogue, request, mast, { ...watch, onProgress }));
  }
  const rasters = losses.map((loss) => loss.rasters);
  const job = buildLayerJob({ request, patterns, masts, mastOfSector, losses: rasters, links });
  const counts = await runStrips(engine, job, sink, watch);
  return { window: job.window, links, counts, terrain: losses.map((loss) => loss.terrain) };
}

/** Computes the strips on all threads, some ahead, and hands them on in order. */
async function runStrips(
  engine: Engine,
  job: LayerJob,
  sink: StripSink,
  watch: CoverageWatch,
): Promise<CoverageCounts> {
  const { width, height } = job.window;
  const strips = Math.ceil(height / STRIP_ROWS);
  const counts: CoverageCounts = { upOnlyFails: 0, servedCells: job.sectors.map(() => 0) };
  const buffers = Array.from({ length: 2 * engine.pool.size }, () =>
    emptyStripRasters(width, STRIP_ROWS, job.wantRasters),
  );
  const running = new Map<number, Promise<void>>();
  const start = (strip: number) => {
    if (strip >= strips) return;
    const fromRow = strip * STRIP_ROWS;
    const rows = Math.min(STRIP_ROWS, height - fromRow);
    const out = buffers[strip % buffers.length] as StripRasters;
    const done = engine.pool.run({ kind: "strip", job, fromRow, rows, out });
    done.catch(() => undefined);
    running.set(strip, done);
  };
  for (let strip = 0; strip < buffers.length; strip++) start(strip);
  for (let strip = 0; strip < strips; strip++) {
    if (watch.signal?.aborted) throw new CancelledError();
    await running.get(strip);
    const fromRow = strip * STRIP_ROWS;
    const rows = Math.min(STRIP_ROWS, height - fromRow);
    const out = buffers[strip % buffers.length] as StripRasters;
    countStrip(out, rows * width, counts);
    await sink(fromRow, rows, out);
    start(strip + buffers.length);
    watch.onProgress?.(LOSS_SHARE + ((1 - LOSS_SHARE) * (strip + 1)) / strips, "layers");
  }
  return counts;
}

function countStrip(strip: StripRasters, cells: number, counts: CoverageCounts): void {
  for (let cell = 0; cell < cells; cell++) {
    const tier = strip.tier[cell];
    counts.upOnlyFails += strip.upOnlyFails[cell];
    if (tier > 0 && tier < CELL_CLASS.notKnown) counts.servedCells[strip.server[cell] - 1]++;
  }
}
