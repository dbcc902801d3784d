import { combineGround, createMastEnds, type Ground } from "@fellmark/coverage";
import { findGeodesicPoint, type GeodesicLine, type LonLat } from "@fellmark/geodesy";
import { type CoverageRequest, parseCoverageRequest } from "@fellmark/network";
import type { ClutterMosaic, MosaicData, TerrainMosaic } from "@fellmark/terrain";
import { createSeededRandom } from "@fellmark/units";
import { createScene } from "../prepare-answers.ts";
import type { AnswerScene } from "../scene.ts";

/** Place of the first mast. */
export const MAST = { lon: -30, lat: 12 };

export type HeightAt = (lon: number, lat: number) => number;

/** Hills of a seed: six waves of 0.5 to 5 km, up to 60 m each. */
export function createHills(seed: number): HeightAt {
  const random = createSeededRandom(seed);
  const waves = Array.from({ length: 6 }, () => {
    const turnsPerDeg = 20 * 10 ** random();
    const turn = 2 * Math.PI * random();
    const perDeg = 2 * Math.PI * turnsPerDeg;
    return {
      x: perDeg * Math.cos(turn),
      y: perDeg * Math.sin(turn),
      phase: 7 * random(),
      heightM: (1200 * random()) / turnsPerDeg,
    };
  });
  return (lon, lat) =>
    waves.reduce((sum, { x, y, phase, heightM }) => sum + heightM * Math.sin(x * lon + y * lat + phase), 300);
}

/** A ground without rasters, whose heights a function tells; NaN where it is not known. */
export function createSyntheticGround(heightAt: HeightAt, clutter: ClutterMosaic | null = null): Ground {
  const data = {
    bbox: [MAST.lon - 0.7, MAST.lat - 0.3, MAST.lon + 0.7, MAST.lat + 0.3],
    stepM: 120,
    kind: "bare",
    filesUsed: [],
    groups: [],
  } satisfies MosaicData;
  const { groups: _, ...facts } = data;
  const mosaic: TerrainMosaic = {
    ...facts,
    data,
    findHeightAmslM: heightAt,
    findNearestCellAmslM: heightAt,
    sampleHeights(line, out) {
      for (let i = 0; i < out.length; i++) {
        const { lon, lat } = findPointOnLine(line, i / (out.length - 1));
        out[i] = heightAt(lon, lat);
      }
      return out.filter(Number.isNaN).length;
    },
  };
  return combineGround(mosaic, clutter);
}

function findPointOnLine({ nodeLon, nodeLat }: GeodesicLine, share: number): LonLat {
  const last = nodeLon.length - 1;
  const between = (nodes: Float64Array) => nodes[0] + share * (nodes[last] - nodes[0]);
  return { lon: between(nodeLon), lat: between(nodeLat) };
}

/** Three sectors on each of some masts, which lie in a row to the east of the first. */
export function buildRowRequest({
  masts = 1,
  apartM = 4000,
  ...changes
}: {
  masts?: number;
  apartM?: number;
  [field: string]: unknown;
} = {}): CoverageRequest {
  const sites = Array.from({ length: masts }, (_, index) => ({
    id: `m${index}`,
    ...findGeodesicPoint(MAST, 90, index * apartM),
  }));
  return parseCoverageRequest({
    version: 1,
    area: { radiusM: 8000, zoom: 11 },
    model: { clutter: { class: "open", heightM: 0 } },
    sites,
    antennas: [
      { id: "panel", kind: "f1336", gainDbi: 16, azimuthWidthDeg: 90, form: "average" },
      { id: "cpe", kind: "f1245", gainDbi: 22, diameterM: 0.3 },
    ],
    radios: [{ id: "r", table: "802.11ax" }],
    sectors: sites.flatMap(({ id }) =>
      [0, 120, 240].map((azimuthDeg) => ({
        ...{ id: `${id}-${azimuthDeg}`, site: id, antenna: "panel", radio: "r", heightAglM: 30, azimuthDeg },
        ...{ downtiltDeg: 2, powerDbm: 17, channel: { centreMhz: 5600 + azimuthDeg / 6, widthMhz: 20 } },
      })),
    ),
    cpe: { antenna: "cpe", radio: "r", heightAglM: 4, maxHeightAglM: 9, powerDbm: 17 },
    plans: [
      { id: "fast", downMbps: 60, upMbps: 12 },
      { id: "basic", downMbps: 15, upMbps: 3 },
    ],
    ...changes,
  });
}

/** A scene in which sectors hear only themselves. */
export function buildQuietScene(request: CoverageRequest, ground: Ground): AnswerScene {
  const data = {
    id: "test",
    request,
    ground: { mosaic: ground.mosaic.data, clutter: null },
    fingerprint: "test",
    noise: null,
  };
  return createScene(request, createMastEnds(request, ground), { data, ground, catalogue: null });
}

/** Places around the first mast. */
export function drawPlaces(count: number, reachM: number, seed: number): LonLat[] {
  const random = createSeededRandom(seed);
  return Array.from({ length: count }, () => findGeodesicPoint(MAST, 360 * random(), reachM * Math.sqrt(random())));
}
