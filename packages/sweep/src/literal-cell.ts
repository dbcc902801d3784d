import {
  createRadialFan,
  findFanTrack,
  findGeodesic,
  findGeodesicPoint,
  findWindowColumn,
  type LonLat,
  toLatitudeDeg,
  toLatticeRow,
  toLongitudeDeg,
} from "@fellmark/geodesy";
import {
  computeDeltaBullington,
  computeVegetationLossDb,
  computeWoodedPathLossDb,
  measureCanopyLengthM,
  type PathProfile,
} from "@fellmark/propagation";
import { computeWavelengthM } from "@fellmark/units";
import { sampleBilinear } from "./bilinear.ts";
import { type SweepSetup, sweepGeometry } from "./sweep-frame.ts";

/** A cell of the window: row * 65536 + column. */
export type PackedCell = number;

/** Heights of a path, the tops of its buildings alone, and the height of the CPE's antenna over the last ground, m. */
export interface CellProfile extends PathProfile {
  solidAmslM: Float64Array;
  rxHeightAglM: number;
}

/**
 * The profile that the sweep uses for a cell of a radial: mast, samples of the radial, the cell's own range and ground.
 * The reference that the sweep is held to; it costs as much as it looks.
 */
export function createRadialProfiles(setup: SweepSetup): (radial: number, cell: PackedCell) => CellProfile {
  const { rows, stepM, radiusSteps, radialCount } = sweepGeometry(setup);
  const { window, mast, ground } = setup;
  const fan = createRadialFan(mast, window.zoom, stepM, radiusSteps);
  return (radial, cell) => {
    const row = cell >>> 16;
    const column = cell & 0xffff;
    const rangeM = Math.hypot(rows.northM[row], rows.eastPerColumnM[row] * (column + 0.5 - rows.originColumn));
    const samples = Math.max(0, Math.floor(rangeM / stepM - 0.5));
    const track = findFanTrack(fan, ((radial + 0.5) * 360) / radialCount);
    const heightAt = (heights: Float32Array, j: number) =>
      sampleBilinear(
        heights,
        window.width * ground.scale,
        (rows.originColumn + j * (track.columnPerStep + track.columnPerStep2 * j)) * ground.scale - 0.5,
        (rows.originRow + j * (track.rowPerStep + track.rowPerStep2 * j)) * ground.scale - 0.5,
      );
    const alongRadial = (heights: Float32Array) =>
      Float64Array.from({ length: samples + 2 }, (_, j) => {
        if (j === 0) return setup.mastGroundAmslM;
        return j <= samples ? heightAt(heights, j) : ground.cellAmslM[row * window.width + column];
      });
    return {
      distanceM: Float64Array.from({ length: samples + 2 }, (_, j) => (j <= samples ? j * stepM : rangeM)),
      surfaceAmslM: alongRadial(ground.surfaceAmslM),
      solidAmslM: alongRadial(ground.solidAmslM),
      bareAmslM: alongRadial(ground.bareAmslM),
      rxHeightAglM: findCpeHeightAglM(setup, row * window.width + column),
    };
  };
}

function findCpeHeightAglM({ ground, cpeHeightAglM }: SweepSetup, cell: number): number {
  return ground.cpeAmslM === null ? cpeHeightAglM : ground.cpeAmslM[cell] - ground.cellAmslM[cell];
}

/** The profile of a cell along the exact geodesic to its centre, sampled on the same window at the sweep's own step. */
export function buildGeodesicProfile(setup: SweepSetup, cell: PackedCell): CellProfile {
  const { window, mast, ground } = setup;
  const { stepM } = sweepGeometry(setup);
  const { distanceM, azimuthDeg } = findGeodesic(mast, findCellCentre(setup, cell));
  const samples = Math.max(0, Math.floor(distanceM / stepM - 0.5));
  const heightAt = ({ lon, lat }: LonLat) =>
    sampleBilinear(
      ground.bareAmslM,
      window.width * ground.scale,
      findWindowColumn(lon, window) * ground.scale - 0.5,
      (toLatticeRow(lat, window.zoom) - window.row0) * ground.scale - 0.5,
    );
  const heights = Float64Array.from({ length: samples + 2 }, (_, j) => {
    if (j === 0) return setup.mastGroundAmslM;
    if (j > samples) return ground.cellAmslM[(cell >>> 16) * window.width + (cell & 0xffff)];
    return heightAt(findGeodesicPoint(mast, azimuthDeg, j * stepM));
  });
  return {
    distanceM: Float64Array.from(heights, (_, j) => (j <= samples ? j * stepM : distanceM)),
    surfaceAmslM: heights,
    solidAmslM: heights,
    bareAmslM: heights,
    rxHeightAglM: setup.cpeHeightAglM,
  };
}

export function findCellCentre({ window }: SweepSetup, cell: PackedCell): { lon: number; lat: number } {
  return {
    lon: toLongitudeDeg(window.col0 + (cell & 0xffff) + 0.5, window.zoom),
    lat: toLatitudeDeg(window.row0 + (cell >>> 16) + 0.5, window.zoom),
  };
}

/**
 * Excess loss of a cell as the sweep stores it, dB, by the literal methods over its profile: delta-Bullington, and where
 * trees stand on the way the join of the paths over and through them.
 */
export function computeLiteralExcessDb(setup: SweepSetup, profile: CellProfile): number {
  const last = profile.distanceM.length - 1;
  const riseM = profile.bareAmslM[last] + profile.rxHeightAglM - profile.bareAmslM[0] - setup.mastHeightAglM;
  const slantDb = 10 * Math.log10(1 + (riseM / profile.distanceM[last]) ** 2);
  if (last < 2) return slantDb;
  const overTreesDb = computeDiffractionDb(setup, profile, profile.surfaceAmslM);
  if (setup.ground.surfaceAmslM === setup.ground.solidAmslM) return overTreesDb + slantDb;
  const withoutTreesDb = computeDiffractionDb(setup, profile, profile.solidAmslM);
  const throughTreesDb = computeVegetationDb(setup, profile);
  return computeWoodedPathLossDb({ overTreesDb, withoutTreesDb, throughTreesDb }) + slantDb;
}

function computeDiffractionDb(setup: SweepSetup, profile: CellProfile, surfaceAmslM: Float64Array): number {
  return computeDeltaBullington({
    profile: { ...profile, surfaceAmslM },
    txHeightAglM: setup.mastHeightAglM,
    rxHeightAglM: profile.rxHeightAglM,
    wavelengthM: computeWavelengthM(setup.frequencyGhz),
    frequencyGhz: setup.frequencyGhz,
    effectiveEarthRadiusM: setup.effectiveEarthRadiusM,
    polarisation: "vertical",
    seaFraction: 0,
  }).lossDb;
}

function computeVegetationDb(
  { trees, frequencyGhz, mastHeightAglM, effectiveEarthRadiusM }: SweepSetup,
  profile: CellProfile,
) {
  const { distanceM, bareAmslM, surfaceAmslM, solidAmslM, rxHeightAglM } = profile;
  const last = distanceM.length - 1;
  const canopyHeightM = surfaceAmslM.map((topM, i) => (topM > solidAmslM[i] ? topM - bareAmslM[i] : 0));
  canopyHeightM[0] = 0;
  // Trees of the last sample stand at the cell as well.
  canopyHeightM[last] = Math.max(0, surfaceAmslM[last - 1] - solidAmslM[last - 1]);
  const covered = {
    distanceM,
    groundAmslM: bareAmslM,
    canopyHeightM,
    buildingHeightM: solidAmslM.map((topM, i) => topM - bareAmslM[i]),
  };
  const line = {
    txAmslM: bareAmslM[0] + mastHeightAglM,
    rxAmslM: bareAmslM[last] + rxHeightAglM,
    effectiveEarthRadiusM,
    wavelengthM: computeWavelengthM(frequencyGhz),
  };
  return computeVegetationLossDb({ ...trees, frequencyGhz, lengthM: measureCanopyLengthM(covered, line) });
}
