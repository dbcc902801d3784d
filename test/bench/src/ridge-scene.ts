import { readGround, readGroundHeight } from "@fellmark/coverage";
import { fitWindow, type LonLat } from "@fellmark/geodesy";
import type { PackedCell, SweepPlan, SweepSetup } from "@fellmark/sweep";
import type { TerrainCatalogue } from "@fellmark/terrain";

/** On a ridge at 421 m; four 1" tiles around it hold a disc of 20 km. */
const MAST: LonLat = { lon: -76.7488, lat: 40.7763 };

/** The sweep of the ridge's mast: 5.6 GHz, effective Earth radius 8500 km, mast 30 m, subscriber 6 m. */
export async function ridgeSetup(
  catalogue: TerrainCatalogue,
  zoom: number,
  radiusM: number,
  radialDensity: number,
): Promise<SweepSetup> {
  const window = fitWindow([MAST], radiusM, zoom);
  const sets = ["default"];
  const { ground } = await readGround(catalogue, window, {
    terrain: { sets, fillVoids: false },
    model: { method: "end-clutter", clutter: { class: "open" }, foliage: "leaf-on", vegetationLaw: "weissberger" },
    cpe: { heightAglM: 6, heightAboveRoofM: 1 },
    refine: radialDensity > 1,
  });
  return {
    mast: MAST,
    mastGroundAmslM: await readGroundHeight(catalogue, sets, MAST),
    mastHeightAglM: 30,
    cpeHeightAglM: 6,
    frequencyGhz: 5.6,
    effectiveEarthRadiusM: 8_500_000,
    radiusM,
    radialDensity,
    window,
    ground,
    trees: { law: "weissberger", foliage: "leaf-on" },
    useTables: true,
  };
}

/** The same with woods and houses in turn, 4 to 24 m high, on a third of the ground in patches of 4 by 4 samples. */
export function withClutter(setup: SweepSetup, random: () => number): SweepSetup {
  const { ground, window } = setup;
  const side = window.width * ground.scale;
  const patches = Math.ceil(side / 4);
  const heightM = Float32Array.from({ length: patches * Math.ceil((window.height * ground.scale) / 4) }, () =>
    random() < 1 / 3 ? 4 + 20 * random() : 0,
  );
  const surfaceAmslM = new Float32Array(new SharedArrayBuffer(ground.bareAmslM.byteLength));
  const solidAmslM = new Float32Array(new SharedArrayBuffer(ground.bareAmslM.byteLength));
  for (let cell = 0; cell < surfaceAmslM.length; cell++) {
    const patch = Math.floor(cell / side / 4) * patches + Math.floor((cell % side) / 4);
    surfaceAmslM[cell] = ground.bareAmslM[cell] + heightM[patch];
    solidAmslM[cell] = patch % 2 === 0 ? ground.bareAmslM[cell] : surfaceAmslM[cell];
  }
  return { ...setup, ground: { ...ground, surfaceAmslM, solidAmslM } };
}

/** Seeded cells of a plan, each with the radial that serves it. */
export function sampleCells(
  plan: SweepPlan,
  count: number,
  random: () => number,
): { cell: PackedCell; radial: number }[] {
  return Array.from({ length: count }, () => {
    const place = Math.floor(random() * plan.cells.length);
    let radial = 0;
    for (let stride = 2 ** 24; stride >= 1; stride /= 2) {
      if (radial + stride < plan.start.length - 1 && plan.start[radial + stride] <= place) radial += stride;
    }
    return { cell: plan.cells[place], radial };
  });
}
