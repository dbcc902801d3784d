import type { ModelSpec } from "@fellmark/network";
import { computeHeightReliefDb } from "@fellmark/propagation";
import { MEAN_EARTH_RADIUS_KM } from "@fellmark/units";
import { computeLinkFadeDb, findLeastSlope } from "../link/fade.ts";
import { type DistanceTable, readAtDistance, tabulate } from "./distance-table.ts";

/** Margin against fading by distance and by what the heights of a path take off its fades; plain data. */
export interface FadeTable {
  rule: ModelSpec["fading"]["rule"];
  /** By relief: entry k holds k steps of RELIEF_STEP_DB; one where heights do not count, or only as a difference. */
  marginDb: DistanceTable[];
  /** Least margin of every path, dB. */
  leastDb: number;
  /** Curvature of the Earth under a path, 1 / (2 a), per m. */
  sinkPerM: number;
}

const RELIEF_STEP_DB = 2;
const MOST_RELIEF_DB = 40;

/** Tables of the models that are in use, by frequency and reach. */
const tables = new WeakMap<ModelSpec, Map<string, FadeTable>>();

export function tabulateFade(model: ModelSpec, frequencyGhz: number, reachKm: number): FadeTable {
  const known = tables.get(model) ?? new Map<string, FadeTable>();
  tables.set(model, known);
  const key = `${frequencyGhz} ${reachKm}`;
  const table = known.get(key) ?? buildFadeTable(model, frequencyGhz, reachKm);
  known.set(key, table);
  return table;
}

function buildFadeTable(model: ModelSpec, frequencyGhz: number, reachKm: number): FadeTable {
  const { rule, rainMmPerHour, leastMarginDb } = model.fading;
  // Without rain a relief comes off the margin as it is.
  const entries = rule === "vigants-barnett" || rainMmPerHour === 0 ? 1 : MOST_RELIEF_DB / RELIEF_STEP_DB + 1;
  return {
    rule,
    leastDb: leastMarginDb,
    sinkPerM: 1 / (2 * model.earthRadiusFactor * MEAN_EARTH_RADIUS_KM * 1000),
    marginDb: Array.from({ length: entries }, (_, entry) => {
      const amslM = findAltitudeM(rule, entry * RELIEF_STEP_DB);
      return tabulate(reachKm, (distanceM) =>
        computeLinkFadeDb(model, { distanceM, frequencyGhz, txAmslM: amslM, rxAmslM: amslM }),
      );
    }),
  };
}

/** Altitude of a level path with that relief, m: it stands for all paths that have it. */
function findAltitudeM(rule: FadeTable["rule"], reliefDb: number): number {
  if (reliefDb === 0) return 0;
  const perKm = computeHeightReliefDb(rule, { distanceM: 1, txAmslM: 1000, rxAmslM: 1000 });
  return (1000 * reliefDb) / perKm;
}

/** A path of the map: sines of the elevations of its rays at both ends, and the antenna at its mast. */
export interface FadeCell {
  distanceKm: number;
  departureSine: number;
  arrivalSine: number;
  mastAmslM: number;
}

/** Margin of a cell against fading, dB: that of computeLinkFadeDb at the heights that findCpeAmslM tells. */
export function readFadeDb(table: FadeTable, cell: FadeCell): number {
  const { rule, marginDb, leastDb, sinkPerM } = table;
  const { distanceKm, departureSine, arrivalSine, mastAmslM } = cell;
  if (rule === "vigants-barnett") return readAtDistance(marginDb[0], distanceKm);
  const distanceM = 1000 * distanceKm;
  const sinks = sinkPerM * distanceM;
  const slope = findLeastSlope(-findTangent(arrivalSine) - sinks, findTangent(departureSine) + sinks);
  const rxAmslM = mastAmslM + slope * distanceM;
  const reliefDb = computeHeightReliefDb(rule, { distanceM, txAmslM: mastAmslM, rxAmslM });
  if (marginDb.length === 1) return Math.max(leastDb, readAtDistance(marginDb[0], distanceKm) - reliefDb);
  const place = Math.min(reliefDb / RELIEF_STEP_DB, marginDb.length - 1.001);
  const entry = Math.floor(place);
  const before = readAtDistance(marginDb[entry], distanceKm);
  return before + (readAtDistance(marginDb[entry + 1], distanceKm) - before) * (place - entry);
}

function findTangent(sine: number): number {
  return sine / Math.sqrt(1 - sine * sine);
}
