import { computeCoverage, type Engine, type LevelStore, NO_DATA, type StripSink } from "@fellmark/coverage";
import { type LatticeWindow, type LonLat, toLatitudeDeg, toLongitudeDeg } from "@fellmark/geodesy";
import { type CoverageRequest, findWindow } from "@fellmark/network";
import { createPlanCache, createThreadPool } from "@fellmark/sweep";
import type { TerrainCatalogue } from "@fellmark/terrain";

/** A coverage with its rasters in memory, row-major over the window. Not known and outside: NaN. */
export interface Covered {
  window: LatticeWindow;
  /** 255 outside, 254 not known, 0 no service, k the k-th plan. */
  tier: Uint8Array;
  /** Number of the serving sector from 1, or 0. */
  server: Uint8Array;
  signalDownDbm: Float64Array;
  sinrDownDb: Float64Array;
  /** Speeds that hold with the margins, Mbit/s. */
  rateDownMbps: Float64Array;
  rateUpMbps: Float64Array;
  /** That the cheapest plan holds, 0 to 1. */
  probability: Float64Array;
  /** Cells of the area with nothing known to stand on them; null where no raster tells it. */
  clutterNotKnown: number | null;
  unknownClutterCodes: { code: number; cells: number }[];
}

/** Close its pool when done. */
export function createEngine(): Engine {
  return { pool: createThreadPool(2), plans: createPlanCache(64 * 2 ** 20) };
}

export async function cover(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  levels?: LevelStore,
): Promise<Covered> {
  const window = findWindow(request);
  const cells = window.width * window.height;
  const unknown = () => new Float64Array(cells).fill(Number.NaN);
  const covered: Covered = {
    window,
    tier: new Uint8Array(cells),
    server: new Uint8Array(cells),
    signalDownDbm: unknown(),
    sinrDownDb: unknown(),
    rateDownMbps: unknown(),
    rateUpMbps: unknown(),
    probability: unknown(),
    clutterNotKnown: null,
    unknownClutterCodes: [],
  };
  const sink: StripSink = async (fromRow, rows, strip) => {
    for (let at = 0; at < rows * window.width; at++) {
      const cell = fromRow * window.width + at;
      covered.tier[cell] = strip.tier[at];
      covered.server[cell] = strip.server[at];
      if (strip.signalDown[at] === NO_DATA) continue;
      covered.signalDownDbm[cell] = strip.signalDown[at] / 100;
      covered.sinrDownDb[cell] = strip.sinrDown[at] / 100;
      covered.rateDownMbps[cell] = strip.rateDown[at] / 10;
      covered.rateUpMbps[cell] = strip.rateUp[at] / 10;
      covered.probability[cell] = strip.probability[at] / 10_000;
    }
  };
  const { counts, unknownClutterCodes } = await computeCoverage(
    engine,
    catalogue,
    request,
    sink,
    levels ? { levels } : {},
  );
  return { ...covered, clutterNotKnown: counts.clutterNotKnown, unknownClutterCodes };
}

export function cellPlace({ col0, row0, width, zoom }: LatticeWindow, cell: number): LonLat {
  return {
    lon: toLongitudeDeg(col0 + (cell % width) + 0.5, zoom),
    lat: toLatitudeDeg(row0 + Math.floor(cell / width) + 0.5, zoom),
  };
}

/** Cells with a known level. */
export function knownCells({ signalDownDbm }: Covered): number[] {
  return [...signalDownDbm.keys()].filter((cell) => !Number.isNaN(signalDownDbm[cell]));
}
