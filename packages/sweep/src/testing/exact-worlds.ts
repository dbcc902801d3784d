import { fitWindow } from "@fellmark/geodesy";
import { createSeededRandom } from "@fellmark/units";
import { computeLiteralExcessDb, createRadialProfiles } from "../literal-cell.ts";
import { createRadialKernel, sweepRadial } from "../radial-kernel.ts";
import { createLossRasters, type SweepSetup, sweepGeometry } from "../sweep-frame.ts";
import { buildHalfPlan, countHalf, type SweepPlan } from "../sweep-plan.ts";

const MAST = { lon: 7.123, lat: 46.456 };

type Ground = (x: number, y: number, random: () => number) => number;

/** Ground heights by position from the mast in cells: usual, smooth, and made to break the algorithm. */
export const WORLDS: Record<string, Ground> = {
  "rolling hills": (x, y) => 400 + 80 * Math.sin(x / 9) * Math.cos(y / 13) + 30 * Math.sin((x + y) / 4),
  "rough ground": (x, _y, random) => 200 + 20 * Math.sin(x / 20) + 12 * random(),
  "flat sea": () => 0,
  "almost flat": (_x, _y, random) => 2 * random(),
  "below the sea": (x, y) => -30 + 5 * Math.sin((x * y) / 50),
  "a dome": (x, y) => 300 - (x * x + y * y) / 40,
  "a bowl": (x, y) => 100 + (x * x + y * y) / 30,
  needles: (_x, _y, random) => (random() < 0.02 ? 400 : 50),
  "a cliff": (x) => (x > 17 ? 0 : 350),
  steps: (x, y) => 40 * Math.floor(Math.hypot(x, y) / 12),
  "a plane": (x, y) => 500 + 3 * x - 2 * y,
  "equal heights on a line": (x, y) => 120 + (Math.round(Math.hypot(x, y)) % 2),
  mountains: (x, y, random) => 900 * Math.abs(Math.sin(x / 31 + 1) * Math.sin(y / 27 + 2)) + 15 * random(),
  "a grazing ridge": (x, y) => 100 + Math.max(0, 34 - 3 * Math.abs(Math.hypot(x, y) - 40)),
  "a deep valley": (x, y) => 600 - 500 * Math.exp(-(((x - y) / 15) ** 2)),
};

/** Clutter on the ground: nothing, buildings of 8 m, trees of 18 m, or both, the CPEs on the buildings' roofs. */
type Cover = "bare" | "buildings" | "trees" | "both";

interface WorldTraits {
  seed: number;
  cover: Cover;
  useTables?: boolean;
  radiusM: number;
}

function createWorld(ground: Ground, { seed, cover, useTables = false, radiusM }: WorldTraits): SweepSetup {
  const random = createSeededRandom(seed);
  const window = fitWindow([MAST], radiusM, 12);
  const { width, height } = window;
  const bareAmslM = Float32Array.from({ length: width * height }, (_, cell) =>
    ground((cell % width) - width / 2, Math.floor(cell / width) - height / 2, random),
  );
  const standing = (share: number, heightM: number) => bareAmslM.map(() => (random() < share ? heightM : 0));
  const buildingM = cover === "buildings" || cover === "both" ? standing(0.3, 8) : null;
  const treeM = cover === "trees" || cover === "both" ? standing(0.3, 18) : null;
  const solidAmslM = buildingM ? bareAmslM.map((heightM, at) => heightM + buildingM[at]) : bareAmslM;
  const surfaceAmslM = treeM ? solidAmslM.map((topM, at) => Math.max(topM, bareAmslM[at] + treeM[at])) : solidAmslM;
  const cpeAmslM = cover === "both" ? solidAmslM.map((topM) => topM + 5) : null;
  return {
    mast: MAST,
    mastGroundAmslM: bareAmslM[(height >> 1) * width + (width >> 1)] + random(),
    mastHeightAglM: 5 + 45 * random(),
    cpeHeightAglM: 2 + 10 * random(),
    frequencyGhz: [0.915, 2.44, 3.6, 5.6, 6.4][Math.floor(5 * random())],
    effectiveEarthRadiusM: 6_371_000 * [4 / 3, 1, 2 / 3, 3][Math.floor(4 * random())],
    radiusM,
    radialDensity: 1 + Math.floor(3 * random()),
    window,
    ground: { scale: 1, surfaceAmslM, solidAmslM, bareAmslM, cellAmslM: bareAmslM, cpeAmslM },
    trees: { law: "weissberger", foliage: "leaf-on" },
    useTables,
  };
}

/** Returns the greatest difference between the sweep of a world and the literal method over seeded cells, dB. */
function findWorstDb(ground: Ground, traits: WorldTraits, cells: number): number {
  const setup = createWorld(ground, traits);
  const { window } = setup;
  const geometry = sweepGeometry(setup);
  const east = countHalf(setup, geometry, 0);
  const plan: SweepPlan = {
    start: new Uint32Array(geometry.radialCount + 1),
    cells: new Uint32Array(east + countHalf(setup, geometry, 1)),
  };
  buildHalfPlan(setup, geometry, 0, plan, 0);
  buildHalfPlan(setup, geometry, 1, plan, east);
  const excessDb = new Float64Array(window.width * window.height);
  const kernel = createRadialKernel(setup, geometry, plan, { ...createLossRasters(window), excessDb });
  for (let radial = 0; radial < geometry.radialCount; radial++) sweepRadial(kernel, radial);
  const random = createSeededRandom(traits.seed + 1);
  const profileOf = createRadialProfiles(setup);
  let worst = 0;
  for (let tried = 0; tried < cells; ) {
    const radial = Math.floor(random() * geometry.radialCount);
    const served = plan.start[radial + 1] - plan.start[radial];
    if (served === 0) continue;
    const cell = plan.cells[plan.start[radial] + Math.floor(random() * served)];
    const got = excessDb[(cell >>> 16) * window.width + (cell & 0xffff)];
    worst = Math.max(worst, Math.abs(got - computeLiteralExcessDb(setup, profileOf(radial, cell))));
    tried++;
  }
  return worst;
}

/** A bound that the sweep of every world keeps to. */
export interface ExactCheck {
  title: string;
  limitDb: number;
  /** Covers that it holds over, each with its own seed beside that of the world, and with tables or by the formulas. */
  runs: readonly { cover: Cover; seed: number; useTables?: boolean }[];
}

export const EXACT_CHECKS: readonly ExactCheck[] = [
  { title: "1e-9 dB by the formulas", limitDb: 1e-9, runs: [{ cover: "bare", seed: 0 }] },
  { title: "1e-9 dB with buildings on the ground", limitDb: 1e-9, runs: [{ cover: "buildings", seed: 1 }] },
  {
    title: "0.005 dB over and through trees, and from the roofs of houses among them",
    limitDb: 0.005,
    runs: [
      { cover: "trees", seed: 3 },
      { cover: "both", seed: 4 },
    ],
  },
  { title: "1e-5 dB with tables", limitDb: 1e-5, runs: [{ cover: "bare", seed: 2, useTables: true }] },
];

/** Differences between the sweep and the literal method in a world, dB: one a run of the check. */
export function measureExactness(world: string, { runs }: ExactCheck, radiusM: number, cells: number): number[] {
  return runs.map(({ seed, ...traits }) =>
    findWorstDb(WORLDS[world], { radiusM, ...traits, seed: world.length * 7919 + seed }, cells),
  );
}
