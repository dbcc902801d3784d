import { computeCellSizeM, type LonLat } from "@fellmark/geodesy";
import { MEAN_EARTH_RADIUS_KM, RAD_PER_DEG } from "@fellmark/units";
import type { AntennaSpec } from "./antenna-schema.ts";
import { findWindow, findZoom } from "./cost.ts";
import type { CoverageRequest } from "./coverage-request.ts";
import { FAR_SHIFT, MAX_REACH_M } from "./reach.ts";

/**
 * Seconds of one core for one unit of each kind of work. Measured as CPU time of computeCoverage in Node 20 on two shared
 * cores, 15 km around 1 and 4 masts on 3" terrain at zoom 12 (0.94 million cells a disc): 0.57 s a sweep in accurate
 * quality, 0.25 s in preview; 0.7 s a far disc; 0.45 s for the layers of one sector, 0.03 to 0.12 s for each more. A scan
 * of 180, 360 and 720 bearings was solved in 0.05, 0.25 and 2.1 s, the largest antennas in 1 to 2 s.
 */
const SECONDS = {
  sweptCell: { accurate: 0.6e-6, preview: 0.3e-6 },
  farCell: 0.75e-6,
  layerCell: 0.4e-6,
  layerCellOfSource: 0.1e-6,
  scanBearingCubed: 7e-9,
  antennaOfTable: 0.05,
  antennaOfBuild: 1.5,
} as const;

/** Seconds of one core that a job may be foreseen to take: half an hour of two cores. */
export const MAX_JOB_S = 3600;

/** Part of the work of a request. */
export interface CostPart {
  /** JSON pointer of the list or field that causes it. */
  pointer: string;
  /** The part in words. */
  what: string;
  seconds: number;
}

/** Estimates the time of one core that each part of a request takes, from its text alone. */
export function estimateSeconds(request: CoverageRequest): CostPart[] {
  const { sectors, emitters, antennas, scans } = request;
  const masts = new Set(sectors.map(({ site, heightAglM }) => `${site} ${heightAglM}`)).size;
  const disc = estimateDiscs(request);
  const window = findWindow(request);
  const sources = sectors.length + emitters.length;
  const layerS = SECONDS.layerCell + SECONDS.layerCellOfSource * sources;
  return [
    { pointer: "/sectors", what: `sweeps from ${masts} sites and heights`, seconds: masts * disc },
    { pointer: "/emitters", what: `sweeps from ${emitters.length} emitters`, seconds: emitters.length * disc },
    {
      pointer: "/area",
      what: `${window.width * window.height} cells of ${sources} sectors and emitters`,
      seconds: window.width * window.height * layerS,
    },
    { pointer: "/antennas", what: `patterns of ${antennas.length} antennas`, seconds: sum(antennas.map(timePattern)) },
    { pointer: "/scans", what: `directions of ${scans.length} scans`, seconds: sum(scans.map(timeScan(request))) },
  ];
}

/** Returns the seconds of the discs around one mast: the service area, and as far as it is heard where others send. */
function estimateDiscs(request: CoverageRequest): number {
  const { area, quality, sites, sectors, emitters } = request;
  const zoom = findZoom(request);
  const cellsWithin = (radiusM: number, atZoom: number) =>
    Math.PI * (radiusM / computeCellSizeM(sites[0]?.lat ?? 0, atZoom)) ** 2;
  const near = cellsWithin(area.radiusM, zoom) * SECONDS.sweptCell[quality];
  if (sectors.length + emitters.length === 1) return near;
  const reachM = Math.max(area.radiusM, Math.min(MAX_REACH_M, measureExtentM([...sites, ...emitters]) + area.radiusM));
  return near + cellsWithin(reachM, zoom - FAR_SHIFT) * SECONDS.farCell;
}

/** Returns the diagonal of the box around places, m: no two lie farther apart. */
function measureExtentM(places: readonly LonLat[]): number {
  const lats = places.map(({ lat }) => lat);
  const lons = places.map(({ lon }) => lon);
  const degrees = Math.hypot(Math.max(...lats) - Math.min(...lats), Math.max(...lons) - Math.min(...lons));
  return degrees * RAD_PER_DEG * MEAN_EARTH_RADIUS_KM * 1000;
}

const BUILT_KINDS: readonly AntennaSpec["kind"][] = ["patch-array", "horn", "pyramidal-horn", "dish"];

function timePattern(antenna: AntennaSpec): number {
  const kind = "base" in antenna ? antenna.base.kind : antenna.kind;
  return BUILT_KINDS.includes(kind) ? SECONDS.antennaOfBuild : SECONDS.antennaOfTable;
}

/** A scan is solved for every sector of its site. */
function timeScan({ sectors }: CoverageRequest) {
  return ({ site, readings }: CoverageRequest["scans"][number]) => {
    const bearings = new Set(readings.map(({ azimuthDeg }) => azimuthDeg)).size;
    const users = sectors.filter((sector) => sector.site === site).length;
    return users * SECONDS.scanBearingCubed * bearings ** 3;
  };
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}

export function sumSeconds(parts: readonly CostPart[]): number {
  return sum(parts.map(({ seconds }) => seconds));
}
