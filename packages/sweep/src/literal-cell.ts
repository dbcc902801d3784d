import {
  geodesicBetween,
  geodesicPoint,
  type LonLat,
  latitudeOfRow,
  longitudeOfColumn,
  radialFan,
  rowOfLatitude,
  trackOfFan,
  windowColumn,
} from "@fellmark/geodesy";
import { deltaBullington, type PathProfile } from "@fellmark/propagation";
import { wavelengthM } from "@fellmark/units";
import { sampleBilinear } from "./bilinear.ts";
import { type SweepSetup, sweepGeometry } from "./sweep-frame.ts";

/** A cell of the window: row * 65536 + column. */
export type PackedCell = number;

/**
 * The profile that the sweep uses for a cell of a radial: mast, samples of the radial, the cell's own range and ground.
 * The reference that the sweep is held to; it costs as much as it looks.
 */
export function radialProfiles(setup: SweepSetup): (radial: number, cell: PackedCell) => PathProfile {
  const { rows, stepM, radiusSteps, radialCount } = sweepGeometry(setup);
  const { window, mast, ground } = setup;
  const fan = radialFan(mast, window.zoom, stepM, radiusSteps);
  return (radial, cell) => {
    const row = cell >>> 16;
    const column = cell & 0xffff;
    const rangeM = Math.hypot(rows.northM[row], rows.eastPerColumnM[row] * (column + 0.5 - rows.originColumn));
    const samples = Math.max(0, Math.floor(rangeM / stepM - 0.5));
    const track = trackOfFan(fan, ((radial + 0.5) * 360) / radialCount);
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
      bareAmslM: alongRadial(ground.bareAmslM),
    };
  };
}

/** The profile of a cell along the exact geodesic to its centre, sampled on the same window at the sweep's own step. */
export function geodesicProfile(setup: SweepSetup, cell: PackedCell): PathProfile {
  const { window, mast, ground } = setup;
  const { stepM } = sweepGeometry(setup);
  const { distanceM, azimuthDeg } = geodesicBetween(mast, cellCentre(setup, cell));
  const samples = Math.max(0, Math.floor(distanceM / stepM - 0.5));
  const heightAt = ({ lon, lat }: LonLat) =>
    sampleBilinear(
      ground.bareAmslM,
      window.width * ground.scale,
      windowColumn(lon, window) * ground.scale - 0.5,
      (rowOfLatitude(lat, window.zoom) - window.row0) * ground.scale - 0.5,
    );
  const heights = Float64Array.from({ length: samples + 2 }, (_, j) => {
    if (j === 0) return setup.mastGroundAmslM;
    if (j > samples) return ground.cellAmslM[(cell >>> 16) * window.width + (cell & 0xffff)];
    return heightAt(geodesicPoint(mast, azimuthDeg, j * stepM));
  });
  return {
    distanceM: Float64Array.from(heights, (_, j) => (j <= samples ? j * stepM : distanceM)),
    surfaceAmslM: heights,
    bareAmslM: heights,
  };
}

export function cellCentre({ window }: SweepSetup, cell: PackedCell): { lon: number; lat: number } {
  return {
    lon: longitudeOfColumn(window.col0 + (cell & 0xffff) + 0.5, window.zoom),
    lat: latitudeOfRow(window.row0 + (cell >>> 16) + 0.5, window.zoom),
  };
}

/** What the sweep stores as excess loss, by the literal method over a profile, dB. */
export function literalExcessDb(setup: SweepSetup, profile: PathProfile): number {
  const { mastHeightAglM, cpeHeightAglM } = setup;
  const last = profile.distanceM.length - 1;
  const riseM = profile.bareAmslM[last] + cpeHeightAglM - profile.bareAmslM[0] - mastHeightAglM;
  const slantDb = 10 * Math.log10(1 + (riseM / profile.distanceM[last]) ** 2);
  if (last < 2) return slantDb;
  const { lossDb } = deltaBullington({
    profile,
    txHeightAglM: mastHeightAglM,
    rxHeightAglM: cpeHeightAglM,
    wavelengthM: wavelengthM(setup.frequencyGhz),
    frequencyGhz: setup.frequencyGhz,
    effectiveEarthRadiusM: setup.effectiveEarthRadiusM,
    polarisation: "vertical",
    seaFraction: 0,
  });
  return lossDb + slantDb;
}
