import { fitWindow, type LatticeWindow } from "@fellmark/geodesy";
import { type CoverageRequest, checkMapMethod, FAR_SHIFT, findWindow, findZoom } from "@fellmark/network";
import { CancelledError, CELL_CLASS } from "@fellmark/sweep";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { toMilliwatts } from "@fellmark/units";
import { isKnownCode, isWaterCode } from "./clutter/clutter-code.ts";
import { type ClutterCells, readClutterCells, readEnds } from "./clutter/clutter-raster.ts";
import { buildLayerJob, type LayerInput } from "./layers/build-layer-job.ts";
import { type Cause, createStripRasters, type LayerJob, NO_DATA, type StripRasters } from "./layers/layer-job.ts";
import { type KeptRows, STRIP_MODULE, type StripTask } from "./layers/strip.ts";
import type { LevelStore } from "./level-store.ts";
import { isClutterStated } from "./link/end-clutter.ts";
import { type LinkBudget, linkBudgets } from "./link/link-budget.ts";
import { createPatterns } from "./link/patterns.ts";
import type { Engine } from "./loss/engine.ts";
import type { TerrainUse } from "./loss/loss-cache.ts";
import { isOneSite, listMasts } from "./loss/mast.ts";
import { computeMastLoss, type MastLoss } from "./loss/mast-loss.ts";
import { buildQuietNoise, computeSectorNoise, type SectorNoise } from "./sector-noise/sector-noise.ts";
import { drawSenderPlaces, type SenderPlaces } from "./sector-noise/uplink-places.ts";

/** Rows that one thread computes at a time: what keeps memory flat. */
const STRIP_ROWS = 64;

/** Share of the progress that the losses take. */
const LOSS_SHARE = 0.8;

/** Takes the layers strip by strip from north to south; a strip's arrays are used again once the promise settles. */
export type StripSink = (fromRow: number, rows: number, strip: StripRasters) => Promise<void>;

export interface CoverageWatch {
  signal?: AbortSignal;
  /** Keeps the levels for the next coverage, and takes those of the last. */
  levels?: LevelStore;
  /** In shared memory, 1 for each cell of the window that counts as area, 0 for the others; null: all count. */
  maskArea?: (window: LatticeWindow) => Uint8Array | null;
  onProgress?: (share: number, stage: string) => void;
}

/** Counts that only the layers can give; cells by tier are counted on the tier raster. */
export interface CoverageCounts {
  /** Cells without service where some plan holds down, but none holds both ways. */
  upOnlyFails: number;
  /** Cells of the area with nothing known to stand on them; null where no raster tells it. */
  clutterNotKnown: number | null;
  /** Per sector: cells that it serves with some plan. */
  servedCells: number[];
  /** Per sector: interference at its subscribers by cause, mW, summed over the cells it serves; with rasters only. */
  interferenceMw: Record<Cause, number>[];
}

export interface Coverage {
  window: LatticeWindow;
  links: LinkBudget[];
  /** Noise and interference at every sector's receiver. */
  noise: SectorNoise[];
  counts: CoverageCounts;
  /** Codes of land cover that the legend does not have, with their cells in the window. */
  unknownClutterCodes: ClutterCells["unknownCodes"];
  rareClutterHeights: ClutterCells["rareHeights"];
  /** 1 for each cell of the window with nothing known to stand on it; null: known everywhere. */
  isClutterUnknown: Uint8Array | null;
  /** 1 for each cell of the window that land cover says is open water; null: no raster says so of any. */
  isWater: Uint8Array | null;
  /** Terrain behind the losses. */
  terrain: TerrainUse[];
}

/**
 * The coverage of a request: loss of every mast, what every sector hears, then signal, noise, rate and tier of every
 * cell. Throws InputError (power rules, antennas), TerrainError (`mast_not_known`), CancelledError.
 */
export async function computeCoverage(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  sink: StripSink,
  watch: CoverageWatch = {},
): Promise<Coverage> {
  const scene = await prepareScene(engine, catalogue, request, watch);
  const job = { ...buildLayerJob(scene), areaMask: watch.maskArea?.(scene.window) ?? null };
  const kept = watch.levels?.rowsFor(scene, job, STRIP_ROWS) ?? undefined;
  const counts = await runStrips(engine, job, sink, { ...watch, ...(kept && { kept }) });
  watch.levels?.settle();
  const discs = scene.losses.flatMap(({ near, far }) => [near, far]).filter((disc) => disc !== null);
  const { window, links, noise, unknownClutterCodes, rareClutterHeights } = scene;
  const isClutterUnknown = findUnknownClutter(scene);
  const terrain = discs.map((disc) => disc.terrain);
  const isWater = findWater(scene);
  return { window, links, noise, counts, unknownClutterCodes, rareClutterHeights, isClutterUnknown, isWater, terrain };
}

/** See isClutterUnknown of Coverage. */
function findUnknownClutter({ request, window, clutter }: CoverageScene): Uint8Array | null {
  if (clutter) return Uint8Array.from(clutter, (code) => (isKnownCode(code) ? 0 : 1));
  return isClutterStated(request.model) ? null : new Uint8Array(window.width * window.height).fill(1);
}

/** See isWater of Coverage. Never told from a height of 0 m, which land has too. */
function findWater({ clutter }: CoverageScene): Uint8Array | null {
  return clutter?.some(isWaterCode) ? Uint8Array.from(clutter, (code) => (isWaterCode(code) ? 1 : 0)) : null;
}

/** Everything that the layers of a request's area are made of, and the codes of clutter that nobody knows. */
export interface CoverageScene extends LayerInput {
  unknownClutterCodes: Coverage["unknownClutterCodes"];
  rareClutterHeights: Coverage["rareClutterHeights"];
}

export async function prepareScene(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  watch: CoverageWatch = {},
): Promise<CoverageScene> {
  checkMapMethod(request);
  const window = findWindow(request);
  const cells = await readClutterCells(catalogue, request, window);
  const { codes: clutter, unknownCodes: unknownClutterCodes, rareHeights: rareClutterHeights } = cells;
  const patterns = createPatterns(request);
  const links = linkBudgets(request, patterns, await readEnds(catalogue, request));
  const { masts: reaching, mastOfSource } = listMasts(request);
  const masts = reaching.map((mast) => (isOneSite(request, reaching) ? { ...mast, far: null } : mast));
  const losses: MastLoss[] = [];
  for (const [index, mast] of masts.entries()) {
    const onProgress = (share: number) => watch.onProgress?.((LOSS_SHARE * (index + share)) / masts.length, "loss");
    losses.push(await computeMastLoss(engine, catalogue, request, mast, { ...watch, onProgress }));
  }
  const quiet = {
    request,
    patterns,
    links,
    masts,
    mastOfSource,
    losses,
    noise: buildQuietNoise(links),
    window,
    clutter,
  };
  const isNear = masts.every(({ far }) => far === null);
  const places = findSenders(isNear ? quiet : await coarsenScene(catalogue, quiet));
  return {
    ...quiet,
    unknownClutterCodes,
    rareClutterHeights,
    noise: await computeSectorNoise({ ...quiet, catalogue }, places),
  };
}

/**
 * Returns noise and interference at every sector of a request, which a point answer needs beside its own profiles.
 * Throws as computeCoverage.
 */
export async function findSectorNoise(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
): Promise<SectorNoise[]> {
  const patterns = createPatterns(request);
  const links = linkBudgets(request, patterns, await readEnds(catalogue, request));
  const { masts, mastOfSource } = listMasts(request);
  const losses: MastLoss[] = [];
  for (const mast of masts) losses.push(await computeMastLoss(engine, catalogue, request, { ...mast, near: null }, {}));
  const quiet = { request, patterns, links, masts, mastOfSource, losses, noise: buildQuietNoise(links) };
  return computeSectorNoise({ ...quiet, catalogue }, findSenders(await coarsenScene(catalogue, quiet)));
}

/**
 * Returns the places that subscribers of a scene send from; none for a sector that is alone, which no others can
 * disturb.
 */
function findSenders(scene: LayerInput): SenderPlaces[] {
  const { request, links } = scene;
  if (links.length === 1 && request.emitters.length === 0) return [];
  return drawSenderPlaces(buildLayerJob(scene), request, links);
}

/** The scene on the coarse lattice, on which masts are heard as far as they reach. */
async function coarsenScene(
  catalogue: TerrainCatalogue,
  scene: Omit<LayerInput, "window" | "clutter">,
): Promise<LayerInput> {
  const { request, masts, losses } = scene;
  const window = fitWindow(request.sites, request.area.radiusM, findZoom(request) - FAR_SHIFT);
  return {
    ...scene,
    window,
    clutter: (await readClutterCells(catalogue, request, window)).codes,
    masts: masts.map((mast) => ({ ...mast, near: mast.far, far: null })),
    losses: losses.map(({ far }) => ({ near: far, far: null })),
  };
}

/** Computes the strips on all threads, some ahead, and hands them on in order. */
async function runStrips(
  engine: Engine,
  job: LayerJob,
  sink: StripSink,
  watch: CoverageWatch & { kept?: KeptRows[] },
): Promise<CoverageCounts> {
  const { width, height } = job.window;
  const strips = Math.ceil(height / STRIP_ROWS);
  const counts: CoverageCounts = {
    upOnlyFails: 0,
    clutterNotKnown: job.clutter ? 0 : null,
    servedCells: job.sectors.map(() => 0),
    interferenceMw: job.sectors.map(() => ({ ownSite: 0, otherSites: 0, emitters: 0 })),
  };
  const buffers = Array.from({ length: 2 * engine.pool.size }, () =>
    createStripRasters(width, STRIP_ROWS, job.wantRasters),
  );
  const running = new Map<number, Promise<void>>();
  const start = (strip: number) => {
    if (strip >= strips) return;
    const fromRow = strip * STRIP_ROWS;
    const rows = Math.min(STRIP_ROWS, height - fromRow);
    const out = buffers[strip % buffers.length] as StripRasters;
    const kept = watch.kept?.[strip];
    const input: StripTask = { job, fromRow, rows, out, ...(kept && { kept }) };
    const done = engine.pool.run({ module: STRIP_MODULE, input });
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
    if (job.clutter && counts.clutterNotKnown !== null) {
      counts.clutterNotKnown += countNotKnown(out, job.clutter.subarray(fromRow * width, (fromRow + rows) * width));
    }
    await sink(fromRow, rows, out);
    start(strip + buffers.length);
    watch.onProgress?.(LOSS_SHARE + ((1 - LOSS_SHARE) * (strip + 1)) / strips, "layers");
  }
  return counts;
}

function countStrip(strip: StripRasters, cells: number, counts: CoverageCounts): void {
  const hasLevels = strip.ownSite.length > 0;
  for (let cell = 0; cell < cells; cell++) {
    const tier = strip.tier[cell];
    counts.upOnlyFails += strip.upOnlyFails[cell];
    if (tier === 0 || tier >= CELL_CLASS.notKnown) continue;
    const server = strip.server[cell] - 1;
    counts.servedCells[server]++;
    if (!hasLevels) continue;
    const sums = counts.interferenceMw[server];
    sums.ownSite += MILLIWATTS[strip.ownSite[cell] - NO_DATA];
    sums.otherSites += MILLIWATTS[strip.otherSites[cell] - NO_DATA];
    sums.emitters += MILLIWATTS[strip.emitters[cell] - NO_DATA];
  }
}

/** Cells of the area with nothing known to stand on them. */
function countNotKnown({ tier }: StripRasters, codes: Uint16Array): number {
  return codes.reduce((sum, code, cell) => sum + (tier[cell] !== CELL_CLASS.outside && !isKnownCode(code) ? 1 : 0), 0);
}

/** Milliwatts of every level that a raster can hold, from NO_DATA on, which is none. */
const MILLIWATTS = Float64Array.from({ length: 65_536 }, (_, index) =>
  index === 0 ? 0 : toMilliwatts((index + NO_DATA) / 100),
);
