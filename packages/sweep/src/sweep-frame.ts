import {
  computeCellSizeM,
  createRowFrame,
  type LatticeWindow,
  type LonLat,
  type RowFrame,
  toLatticeRow,
} from "@fellmark/geodesy";
import type { VegetationInput } from "@fellmark/propagation";

/** Classes of cells by their line of sight. Source of the 60 %: ITU-R P.530-18 section 2.2.2. */
export const CELL_CLASS = {
  /** 60 % of the first Fresnel zone is free. */
  clear: 0,
  /** Line of sight, with the zone cut into. */
  grazing: 1,
  blocked: 2,
  /** Some height on the way is not known. */
  notKnown: 254,
  /** Not in the disc. */
  outside: 255,
} as const;

/** Heights that a sweep reads, m above sea level, NaN where not known; shared memory, row-major. */
export interface GroundGrids {
  /**
   * Sample cells along one side of a cell of the window: 1, or 2 where the terrain is finer than the cells. Samples
   * between the points of a grid that is as coarse as the terrain would smooth off its ridges.
   */
  scale: 1 | 2;
  /**
   * On the window's lattice refined by `scale`: tops of all that stands, of buildings alone, and the ground. One array
   * for two where nothing stands between them.
   */
  surfaceAmslM: Float32Array;
  solidAmslM: Float32Array;
  bareAmslM: Float32Array;
  /** Bare ground at the cell centres of the window. */
  cellAmslM: Float32Array;
  /** Height of the CPE's antenna above sea level at every cell; null: its height above the ground everywhere. */
  cpeAmslM: Float32Array | null;
}

/** The cells that a sweep answers, and its radials. */
export interface SweepArea {
  mast: LonLat;
  radiusM: number;
  /** Radials per rim cell: 1 for a preview, 4 for what is published. */
  radialDensity: number;
  /** The window of the cells that are answered. */
  window: LatticeWindow;
}

/** Everything that decides the diffraction loss of one mast; plain data, sent to the threads as it is. */
export interface SweepSetup extends SweepArea {
  /** Bare ground under the mast: from the raster itself, since on a ridge the lattice would smooth it off. */
  mastGroundAmslM: number;
  mastHeightAglM: number;
  cpeHeightAglM: number;
  frequencyGhz: number;
  effectiveEarthRadiusM: number;
  ground: GroundGrids;
  /** Law of the loss through trees, where the ground's grids hold them. */
  trees: Pick<VegetationInput, "law" | "foliage">;
  /** False computes every loss by the formulas: for proofs. */
  useTables: boolean;
}

/** Rasters on the window that a sweep fills; shared memory, row-major. */
export interface LossRasters {
  /**
   * Loss beyond free space over the ground distance, dB: delta-Bullington diffraction, and the slant of the path. NaN
   * outside the disc and where not known.
   */
  excessDb: Float32Array;
  /** Ray elevations in 0.01 degrees, a pair a cell: at the mast, at the CPE. */
  raysCdeg: Int16Array;
  /** One of CELL_CLASS. */
  cellClass: Uint8Array;
}

/** Output of a radial; 64 bits hold the loss in full for proofs. */
export interface RadialOutput extends Omit<LossRasters, "excessDb"> {
  excessDb: Float32Array | Float64Array;
}

/** Numbers derived from the setup once, before any radial. */
export interface SweepGeometry {
  rows: RowFrame;
  /** Step along a radial: the ground size of a cell at the mast. */
  stepM: number;
  /** Radius in steps. */
  radiusSteps: number;
  radialCount: number;
}

export function sweepGeometry(area: SweepArea): SweepGeometry {
  const stepM = computeCellSizeM(area.mast.lat, area.window.zoom);
  const radiusSteps = area.radiusM / stepM;
  return {
    rows: createRowFrame(area.mast, toLatticeRow(area.mast.lat, area.window.zoom), area.window),
    stepM,
    radiusSteps,
    radialCount: 4 * Math.ceil((Math.PI / 2) * area.radialDensity * countRimCells(area, radiusSteps)),
  };
}

/** The largest disc radius in cells: towards the pole cells shrink on the ground, so the disc spans more of them. */
function countRimCells(area: SweepArea, radiusSteps: number): number {
  const polewardDeg = Math.abs(area.mast.lat) + area.radiusM / 111_000;
  return (radiusSteps * computeCellSizeM(area.mast.lat, 0)) / computeCellSizeM(Math.min(89, polewardDeg), 0);
}

/** Fresh rasters in shared memory: nothing known, every cell outside. */
export function createLossRasters(window: LatticeWindow): LossRasters {
  const cells = window.width * window.height;
  return {
    excessDb: new Float32Array(new SharedArrayBuffer(cells * 4)).fill(Number.NaN),
    raysCdeg: new Int16Array(new SharedArrayBuffer(cells * 4)),
    cellClass: new Uint8Array(new SharedArrayBuffer(cells)).fill(CELL_CLASS.outside),
  };
}
