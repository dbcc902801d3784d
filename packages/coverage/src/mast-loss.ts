import { createHash } from "node:crypto";
import { rowFrame, rowOfLatitude } from "@fellmark/geodesy";
import { type CoverageRequest, canonicalJson } from "@fellmark/network";
import type { TerrainCatalogue, TerrainWindow } from "@fellmark/terrain";
import { TerrainError } from "@fellmark/units";
import { readGround } from "./ground-grids.ts";
import { groundHeightAt } from "./ground-height.ts";
import type { LossCache, TerrainUse } from "./loss-cache.ts";
import { effectiveEarthRadiusM, type Mast } from "./mast.ts";
import { MODEL_VERSION } from "./model-version.ts";
import { sampleBilinear } from "./sweep/bilinear.ts";
import type { PlanCache } from "./sweep/plan-cache.ts";
import { planSweep, type SweepWatch, sweep } from "./sweep/sweep.ts";
import type { GroundGrids, LossRasters, SweepArea, SweepSetup } from "./sweep/sweep-frame.ts";
import type { ThreadPool } from "./thread-pool.ts";

/** What a coverage is computed with. */
export interface Engine {
  pool: ThreadPool;
  plans: PlanCache;
  /** Absent: every loss is swept anew. */
  losses?: LossCache;
}

export interface MastLoss {
  rasters: LossRasters;
  terrain: TerrainUse;
}

/** Radials per rim cell of each quality. */
const RADIAL_DENSITY = { preview: 1, accurate: 4 } as const;

/**
 * Loss rasters of a mast, from the cache or by a sweep over the terrain.
 * Throws TerrainError `mast_not_known` when the ground under the mast is not known, CancelledError on the signal.
 */
export async function lossOfMast(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  mast: Mast,
  watch: SweepWatch,
): Promise<MastLoss> {
  const key = lossKey(catalogue, request, mast);
  const cached = await engine.losses?.read(key, mast.window);
  if (cached) return cached;
  const { sets, fillVoids } = request.terrain;
  const refine = request.quality === "accurate";
  const area = sweepArea(request, mast);
  const planning = engine.plans.get(area, () => planSweep(engine.pool, area));
  const { ground, terrain } = await readGround(catalogue, mast.window, { sets, fillVoids, refine });
  const mastGroundAmslM = await groundUnder(catalogue, request, mast, ground);
  const setup = sweepSetup(request, mast, mastGroundAmslM, ground);
  const plan = await planning;
  const loss = { rasters: await sweep(engine.pool, setup, plan, watch), terrain: terrainUse(terrain) };
  await engine.losses?.write(key, loss);
  return loss;
}

function sweepArea(request: CoverageRequest, mast: Mast): SweepArea {
  return {
    mast: { lon: mast.site.lon, lat: mast.site.lat },
    radiusM: mast.reachM,
    radialDensity: RADIAL_DENSITY[request.quality],
    window: mast.window,
  };
}

function sweepSetup(request: CoverageRequest, mast: Mast, mastGroundAmslM: number, ground: GroundGrids): SweepSetup {
  return {
    ...sweepArea(request, mast),
    mastGroundAmslM,
    mastHeightAglM: mast.heightAglM,
    kitHeightAglM: request.kit.heightAglM,
    frequencyGhz: mast.frequencyGhz,
    effectiveEarthRadiusM: effectiveEarthRadiusM(request),
    ground,
    useTables: true,
  };
}

/** Ground under a mast, from the raster itself; a filled void counts when filling was asked for. */
async function groundUnder(
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  mast: Mast,
  ground: GroundGrids,
): Promise<number> {
  const { site, window } = mast;
  const native = await groundHeightAt(catalogue, request.terrain.sets, site);
  if (!Number.isNaN(native)) return native;
  const { originColumn, originRow } = rowFrame(site, rowOfLatitude(site.lat, window.zoom), window);
  const filled = sampleBilinear(ground.cellAmslM, window.width, originColumn - 0.5, originRow - 0.5);
  if (!Number.isNaN(filled)) return filled;
  throw new TerrainError("mast_not_known", `the ground under site "${site.id}" is not known`);
}

/** Everything that the loss depends on; a change of any makes another entry. */
function lossKey(catalogue: TerrainCatalogue, request: CoverageRequest, mast: Mast): string {
  const inputs = canonicalJson({
    model: MODEL_VERSION,
    terrain: catalogue.fingerprint,
    sets: request.terrain.sets,
    fillVoids: request.terrain.fillVoids,
    lon: mast.site.lon,
    lat: mast.site.lat,
    mastHeightAglM: mast.heightAglM,
    kitHeightAglM: request.kit.heightAglM,
    frequencyGhz: mast.frequencyGhz,
    earthRadiusFactor: request.model.earthRadiusFactor,
    reachM: mast.reachM,
    zoom: mast.window.zoom,
    quality: request.quality,
  });
  return createHash("sha256").update(inputs).digest("hex");
}

function terrainUse(terrain: TerrainWindow): TerrainUse {
  return {
    kind: terrain.kind,
    files: terrain.filesUsed.map(({ name, sha256, resolutionM }) => ({ name, sha256, resolutionM })),
    filledCells: terrain.filledCells,
    flags: terrain.flags,
  };
}
