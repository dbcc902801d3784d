import {
  addBullingtonTailDb,
  CLEAR_FRESNEL_SHARE,
  computeKnifeEdgeLossDb,
  computeVegetationLossDb,
  FREE_EDGE_NU2,
  findPositiveShare,
  joinLossesDb,
} from "@fellmark/propagation";
import { findLeastNuSquared } from "./clearance.ts";
import { findFarHorizon } from "./cpe-horizon.ts";
import { computeExactBullingtonDb, computeTabulatedBullingtonDb } from "./loss-table.ts";
import { BLOCK_BITS, type MastConstants, type RadialState, type TreelessRadial } from "./radial-state.ts";
import type { SweepSetup } from "./sweep-frame.ts";

/** Line from the mast to the CPE of a cell, in the flat frame: its length in steps, the samples before it, its slope. */
export interface CellLine {
  x: number;
  samples: number;
  slope: number;
  /** Height of the CPE in the flat frame, and the ground under it above sea level, m. */
  cpeM: number;
  groundAmslM: number;
}

/** Loss of a path over and through trees. The object is written anew by every call. */
export interface TreePassage {
  lossDb: number;
  /** True where more power comes through the trees than over them. */
  isStronger: boolean;
  /** Slopes by which the horizons without trees are steeper than the line, from the mast and from the CPE. */
  a: number;
  b: number;
}

export interface TreePaths {
  /**
   * Joins the path over the trees with the one through them.
   * @param overDb Bullington loss over everything that stands, above 0. @param tailDb of the path.
   */
  passTrees(line: CellLine, overDb: number, tailDb: number): TreePassage;
}

/** Loss through trees, beyond the loss over them, from which what passes them no longer counts: 0.004 dB, dB. */
const NEGLIGIBLE_EXCESS_DB = 30;

/** Height over the zone of a sample in a skipped block: not positive, and computed only where the next one needs it, m. */
const SKIPPED = Number.NEGATIVE_INFINITY;

/**
 * The walked form of `measureCanopyLengthM` and `computeWoodedPathLossDb` for the cells of a radial. Trees are what the
 * surface has over the ground and its buildings; those of the last sample stand at the cell as well.
 * Accuracy: both of the same profile to 0.005 dB (a test).
 */
export function createTreePaths(
  { trees, frequencyGhz, useTables }: SweepSetup,
  mast: MastConstants,
  radial: RadialState,
  treeless: TreelessRadial,
): TreePaths {
  const { antennaAmslM, bulgeM, stepM, nuScale, wavelengthM } = mast;
  const { flat, surface, bare } = radial;
  const { solid, treeTop } = treeless;
  const computeEdgeDb = useTables ? computeTabulatedBullingtonDb : computeExactBullingtonDb;
  const passage: TreePassage = { lossDb: 0, isStronger: false, a: 0, b: 0 };
  const wood = { ...trees, lengthM: 0, frequencyGhz };
  function computeThroughDb(steps: number): number {
    wood.lengthM = steps * stepM;
    return computeVegetationLossDb(wood);
  }
  /** Loss by length in whole steps: tells without the law that a path is lost. */
  const wholeStepsDb = Float64Array.from(flat, (_, steps) => computeThroughDb(steps));

  function findHorizons({ x, samples, slope, cpeM }: CellLine): void {
    passage.a = treeless.mastSlope[samples] - slope;
    const vertex = findFarHorizon(treeless, samples, x, cpeM);
    passage.b = (treeless.flat[vertex] - cpeM) / (x - vertex) + slope;
  }

  /** Bullington loss of the path as if the trees were away, dB. */
  function computeTreelessDb({ x, samples, slope }: CellLine, tailDb: number): number {
    const { a, b } = passage;
    const nu2 = Math.max(0, nuScale * x * a * b);
    if (a >= 0) return computeEdgeDb(nu2, tailDb);
    if (nu2 >= FREE_EDGE_NU2) return 0;
    const least = findLeastNuSquared(treeless, mast, { x, samples, slope, a, b });
    return least < FREE_EDGE_NU2 ? addBullingtonTailDb(computeKnifeEdgeLossDb(-Math.sqrt(least)), tailDb) : 0;
  }

  /**
   * Length of the ray below the tops of trees, steps; cut short once its loss exceeds `enoughDb`. Goes from the CPE to the
   * mast and skips the blocks whose trees all stay below the zone: in the flat frame the ray is the lower of two straight
   * lines, so it is nowhere lower than at the ends of a block.
   */
  function measureLength({ x, samples, slope, cpeM, groundAmslM }: CellLine, enoughDb: number): number {
    const txSlope = Math.max(passage.a, 0);
    const rxSlope = Math.max(passage.b, 0);
    const zoneScale = CLEAR_FRESNEL_SHARE * CLEAR_FRESNEL_SHARE * wavelengthM * (stepM / x);
    const findRay = (j: number) => antennaAmslM + slope * j + Math.min(txSlope * j, rxSlope * (x - j));
    const findZone = (j: number) => Math.sqrt(zoneScale * j * (x - j));
    const findOver = (j: number, rayM: number) => {
      const zoneEdgeM = rayM - findZone(j);
      if (j > 0 && surface[j] > solid[j]) return flat[j] - zoneEdgeM;
      return Math.min((j > 0 ? bare[j] : mast.mastGroundM) - bulgeM * j * j - zoneEdgeM, 0);
    };
    const endTreeM = surface[samples] - solid[samples];
    const endOverM = groundAmslM - bulgeM * x * x + endTreeM - cpeM;
    let beforeOverM = endTreeM > 0 ? endOverM : Math.min(endOverM, 0);
    let beforeRayM = cpeM;
    let beforeAt = x;
    let steps = 0;
    let untriedBlock = samples >> BLOCK_BITS;
    for (let j = samples; j >= 0; j--) {
      const block = j >> BLOCK_BITS;
      if (block <= untriedBlock && beforeOverM <= 0) {
        untriedBlock = block - 1;
        const first = block << BLOCK_BITS;
        const zoneM = findZone(Math.min(Math.max(first, x / 2), j));
        if (treeTop[block] + zoneM <= Math.min(findRay(first), findRay(j))) {
          j = first;
          beforeOverM = SKIPPED;
          continue;
        }
      }
      const rayM = findRay(j);
      const overM = findOver(j, rayM);
      if (overM > 0 || beforeOverM > 0) {
        if (beforeOverM === SKIPPED) {
          beforeAt = j + 1;
          beforeRayM = findRay(beforeAt);
          beforeOverM = findOver(beforeAt, beforeRayM);
        }
        const alongStep = beforeAt - j;
        const bulge = bulgeM * (beforeAt * beforeAt - j * j);
        const riseM = (beforeRayM - rayM + bulge) / stepM;
        steps += Math.sqrt(alongStep * alongStep + riseM * riseM) * findPositiveShare(beforeOverM, overM);
        if (wholeStepsDb[steps | 0] > enoughDb) return steps;
      }
      beforeOverM = overM;
      beforeRayM = rayM;
      beforeAt = j;
    }
    return steps;
  }

  return {
    passTrees(line, overDb, tailDb) {
      findHorizons(line);
      const withoutDb = computeTreelessDb(line, tailDb);
      passage.lossDb = overDb;
      passage.isStronger = false;
      if (overDb - withoutDb < 1e-9) return passage;
      const passedDb = withoutDb + computeThroughDb(measureLength(line, overDb - withoutDb + NEGLIGIBLE_EXCESS_DB));
      passage.lossDb = Math.max(joinLossesDb(overDb, passedDb), withoutDb);
      passage.isStronger = passedDb < overDb;
      return passage;
    },
  };
}
