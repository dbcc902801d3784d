import { createHash } from "node:crypto";
import { createRowFrame, toLatticeRow } from "@fellmark/geodesy";
import { type CoverageRequest, toCanonicalJson } from "@fellmark/network";
import {
  type GroundGrids,
  type LossRasters,
  planSweep,
  type SweepArea,
  type SweepSetup,
  type SweepWatch,
  sampleBilinear,
  sweep,
} from "@fellmark/sweep";
import type { TerrainCatalogue, TerrainWindow } from "@fellmark/terrain";
import { TerrainError } from "@fellmark/units";
import { findClutterSources } from "../clutter/clutter-raster.ts";
import { describePathClutter } from "../clutter/covered-ground.ts";
import { readGround } from "../ground/ground-grids.ts";
import { readGroundHeight } from "../ground/ground-height.ts";
import { MODEL_VERSION } from "../model-version.ts";
import type { Engine } from "./engine.ts";
import type { TerrainUse } from "./loss-cache.ts";
import { findEffectiveEarthRadiusM, type Mast, type MastDisc } from "./mast.ts";

export interface DiscLoss {
  rasters: LossRasters;
  terrain: TerrainUse;
}

/** Loss of a mast on its discs. */
export interface MastLoss {
  near: DiscLoss | null;
  far: DiscLoss | null;
}

/** Radials per rim cell of each quality. */
const RADIAL_DENSITY = { preview: 1, accurate: 4 } as const;

type Quality = CoverageRequest["quality"];

/** Loss of a mast on its discs; far interferers are swept as a preview is. Throws as `computeDiscLoss`. */
export async function computeMastLoss(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  mast: Mast,
  watch: SweepWatch,
): Promise<MastLoss> {
  const { near, far } = mast;
  return {
    near:
      near &&
      (await computeDiscLoss(engine, catalogue, { request, mast, disc: near, quality: request.quality }, watch)),
    far: far && (await computeDiscLoss(engine, catalogue, { request, mast, disc: far, quality: "preview" }, watch)),
  };
}

/** A disc to sweep. */
export interface DiscTask {
  request: CoverageRequest;
  mast: Mast;
  disc: MastDisc;
  quality: Quality;
}

/**
 * Loss rasters of one disc, from the cache or by a sweep over the terrain.
 * Throws TerrainError `mast_not_known` when the ground under the mast is not known, CancelledError on the signal.
 */
async function computeDiscLoss(
  engine: Engine,
  catalogue: TerrainCatalogue,
  task: DiscTask,
  watch: SweepWatch,
): Promise<DiscLoss> {
  const { request, disc, quality } = task;
  const key = keyLoss(catalogue, task);
  const cached = await engine.losses?.read(key, disc.window);
  if (cached) return cached;
  const area = sweepArea(task);
  const planning = engine.plans.get(area, () => planSweep(engine.pool, area));
  const { ground, terrain } = await readGround(catalogue, disc.window, { ...request, refine: quality === "accurate" });
  const mastGroundAmslM = await findGroundUnder(catalogue, task, ground);
  const mastAmslM = mastGroundAmslM + task.mast.heightAglM;
  const setup = sweepSetup(task, mastGroundAmslM, ground);
  const plan = await planning;
  const loss = {
    rasters: await sweep(engine.pool, setup, plan, watch),
    terrain: describeTerrainUse(terrain, mastAmslM),
  };
  await engine.losses?.write(key, loss);
  return loss;
}

function sweepArea({ mast, disc, quality }: DiscTask): SweepArea {
  return {
    mast: { lon: mast.site.lon, lat: mast.site.lat },
    radiusM: disc.radiusM,
    radialDensity: RADIAL_DENSITY[quality],
    window: disc.window,
  };
}

function sweepSetup(task: DiscTask, mastGroundAmslM: number, ground: GroundGrids): SweepSetup {
  const { request, mast } = task;
  return {
    ...sweepArea(task),
    mastGroundAmslM,
    mastHeightAglM: mast.heightAglM,
    cpeHeightAglM: request.cpe.heightAglM,
    frequencyGhz: mast.frequencyGhz,
    effectiveEarthRadiusM: findEffectiveEarthRadiusM(request),
    ground,
    trees: { law: request.model.vegetationLaw, foliage: request.model.foliage },
    useTables: true,
  };
}

/** Ground under a mast, from the raster itself; a filled void counts when filling was asked for. */
async function findGroundUnder(
  catalogue: TerrainCatalogue,
  { request, mast: { site }, disc: { window } }: DiscTask,
  ground: GroundGrids,
): Promise<number> {
  const canopy = findClutterSources(request.model)?.canopy;
  const native = await readGroundHeight(catalogue, request.terrain.sets, site, canopy);
  if (!Number.isNaN(native)) return native;
  const { originColumn, originRow } = createRowFrame(site, toLatticeRow(site.lat, window.zoom), window);
  const filled = sampleBilinear(ground.cellAmslM, window.width, originColumn - 0.5, originRow - 0.5);
  if (!Number.isNaN(filled)) return filled;
  throw new TerrainError("mast_not_known", `the ground under site "${site.id}" is not known`);
}

/** Everything that the loss depends on; a change of any makes another entry. */
function keyLoss(catalogue: TerrainCatalogue, { request, mast, disc, quality }: DiscTask): string {
  const inputs = toCanonicalJson({
    model: MODEL_VERSION,
    terrain: catalogue.fingerprint,
    sets: request.terrain.sets,
    fillVoids: request.terrain.fillVoids,
    clutter: describePathClutter(request.model, request.cpe),
    lon: mast.site.lon,
    lat: mast.site.lat,
    mastHeightAglM: mast.heightAglM,
    cpeHeightAglM: request.cpe.heightAglM,
    frequencyGhz: mast.frequencyGhz,
    earthRadiusFactor: request.model.earthRadiusFactor,
    reachM: disc.radiusM,
    zoom: disc.window.zoom,
    quality,
  });
  return createHash("sha256").update(inputs).digest("hex");
}

function describeTerrainUse(terrain: TerrainWindow, mastAmslM: number): TerrainUse {
  return {
    kind: terrain.kind,
    files: terrain.filesUsed.map(({ name, sha256, resolutionM }) => ({ name, sha256, resolutionM })),
    filledCells: terrain.filledCells,
    mastAmslM,
    flags: terrain.flags,
  };
}
