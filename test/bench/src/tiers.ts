import { execFile } from "node:child_process";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { promisify } from "node:util";
import { createTempDir, hasCommand } from "@fellmark/testkit";
import {
  findGeometryFaults,
  rasteriseTiers,
  TIER_CLASS,
  TRACE_DEFAULTS,
  type TraceSettings,
  traceTiers,
  writeRaster,
} from "@fellmark/tiers";
import { type Bench, type BenchOutput, type BenchResult, measure } from "./report.ts";
import { type TierScene, tierScene } from "./tier-scene.ts";

const SIZE = 2000;
const RUNS = 5;
const PEER = "gdal_polygonize.py";
const EXACT: TraceSettings = { speckAreaM2: 0, simplifyCells: 0 };

/** Class raster to GeoJSON on disk beside gdal_polygonize.py on the same raster, and what the polygons say of it. */
export const tiersBench: Bench = async ({ seed }): Promise<BenchOutput> => {
  const scene = tierScene(SIZE, seed);
  const folder = createTempDir("fellmark-tiers-");
  try {
    const timed = await timeBoth(scene, folder.path);
    const shares = [
      shareRow("tiers.2000.exact", scene, EXACT, { what: "% of cells that come back equal", least: 100 }),
      shareRow("tiers.2000.equal", scene, TRACE_DEFAULTS, { what: "% of cells that come back equal", least: 99.5 }),
      shareRow("tiers.2000.promoted", scene, TRACE_DEFAULTS, { what: "% of cells promoted", most: 0 }),
    ];
    return { results: [timed, ...shares], skipped: hasCommand(PEER) ? [] : [{ id: "peer", reason: `no ${PEER}` }] };
  } finally {
    folder.remove();
  }
};

async function timeBoth(scene: TierScene, folder: string): Promise<BenchResult> {
  const { window, classes, plans } = scene;
  const ours = await measure(RUNS, 2, async () => {
    const { collection } = traceTiers(window, classes, { plans, ...TRACE_DEFAULTS });
    await writeFile(join(folder, "tiers.geojson"), JSON.stringify(collection));
  });
  const faults = findGeometryFaults(traceTiers(window, classes, { plans, ...TRACE_DEFAULTS }).collection);
  const row = {
    id: "tiers.2000",
    value: ours.median,
    unit: "s",
    n: ours.n,
    min: ours.min,
    max: ours.max,
    cells: classes.length,
    perCellNs: (ours.median / classes.length) * 1e9,
    pass: faults.length === 0,
    check: { what: "faults in the polygons", value: faults.length, limit: 0, pass: faults.length === 0 },
  };
  if (!hasCommand(PEER)) return row;
  const peerS = await timePeer(scene, folder);
  const ratio = ours.median / peerS;
  const peer = { name: PEER, value: peerS, ratio, ratioTarget: 1 };
  return { ...row, target: peerS, targetUnit: "s", pass: row.pass && ratio <= 1, peer };
}

async function timePeer({ window, classes }: TierScene, folder: string): Promise<number> {
  const raster = join(folder, "classes.tif");
  const meta = { scale: 1, offset: 0, noData: TIER_CLASS.outside, name: "tier", unit: "" };
  await writeRaster(raster, window, classes, meta);
  let run = 0;
  const { median } = await measure(RUNS, 1, async () => {
    const out = join(folder, `peer-${run++}.geojson`);
    await promisify(execFile)(PEER, ["-q", raster, "-f", "GeoJSON", out]);
  });
  return median;
}

/** One row for a share of the cells of the area, in percent. Cells not known count as without a plan. */
function shareRow(
  id: string,
  { window, classes, plans }: TierScene,
  settings: TraceSettings,
  limit: { what: string; least?: number; most?: number },
): BenchResult {
  const { collection } = traceTiers(window, classes, { plans, ...settings });
  const planIds = plans.map((plan) => plan.id);
  const drawn = rasteriseTiers(window, collection, planIds);
  const isPlan = (tier: number) => tier >= 1 && tier <= plans.length;
  let area = 0;
  let counted = 0;
  for (let at = 0; at < classes.length; at++) {
    if (classes[at] === TIER_CLASS.outside) continue;
    area++;
    const wanted = isPlan(classes[at]) ? classes[at] : 0;
    const shown = isPlan(drawn[at]) ? drawn[at] : 0;
    const isPromoted = shown !== 0 && (wanted === 0 || shown < wanted);
    if (limit.most === undefined ? shown === wanted : isPromoted) counted++;
  }
  const value = (100 * counted) / area;
  const pass = limit.most === undefined ? value >= (limit.least ?? 0) : value <= limit.most;
  const check = { what: limit.what, value, limit: limit.most ?? limit.least ?? 0, pass };
  return { id, value, unit: "%", n: 1, min: value, max: value, cells: area, pass, check };
}
