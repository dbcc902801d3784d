import { type AntennaDescription, createAntennaPattern } from "@fellmark/antenna";
import { bakeGainTable, readFieldToward } from "@fellmark/coverage";
import { createSeededRandom } from "@fellmark/testkit";
import { RAD_PER_DEG, toDb } from "@fellmark/units";
import type { Bench, BenchResult } from "./report.ts";

const FREQUENCY_GHZ = 5.8;
const DIRECTIONS = 20_000;
const P99_LIMIT_DB = 0.2;
const MAX_LIMIT_DB = 0.5;

/** Antennas as they stand at masts and at subscribers, lobes and all. */
const ANTENNAS: Record<string, AntennaDescription> = {
  "2 x 10 patches": {
    ...{ kind: "patch-array", columns: 2, rows: 10, columnSpacingM: 0.034, rowSpacingM: 0.039 },
    designFrequencyGhz: FREQUENCY_GHZ,
  },
  "corrugated horn of 45 degrees": { kind: "horn", form: "corrugated", diameterM: 0.085, slantLengthM: 0.15 },
  "dish of 0.4 m": { kind: "dish", diameterM: 0.4, focalRatio: 0.4, edgeTaperDb: 11 },
};

/** The tables that the layers read in place of patterns, against the patterns themselves. */
export const antennaBench: Bench = async ({ seed }) => ({ results: [tableRow(seed)], skipped: [] });

/** Over all antennas and directions whose gain is less than 30 dB under the peak. */
function tableRow(seed: number): BenchResult {
  const random = createSeededRandom(seed);
  const errors = Object.values(ANTENNAS).flatMap((description) => tableErrorsDb(description, random));
  errors.sort((a, b) => a - b);
  const value = errors[Math.floor(0.99 * errors.length)];
  const max = errors[errors.length - 1];
  const check = { what: "greatest error, dB", value: max, limit: MAX_LIMIT_DB, pass: max <= MAX_LIMIT_DB };
  const range = { min: errors[0], max, n: errors.length };
  return { id: "antenna.table", value, unit: "dB", ...range, target: P99_LIMIT_DB, pass: value <= P99_LIMIT_DB, check };
}

function tableErrorsDb(description: AntennaDescription, random: () => number): number[] {
  const pattern = createAntennaPattern(description, FREQUENCY_GHZ);
  const table = bakeGainTable(pattern.gainDbi, 0);
  const errors: number[] = [];
  for (let direction = 0; direction < DIRECTIONS; direction++) {
    const azimuthDeg = 360 * random() - 180;
    const elevationDeg = 40 * random() - 20;
    const exactDbi = pattern.gainDbi(azimuthDeg, elevationDeg, 0);
    if (exactDbi < pattern.peakGainDbi - 30) continue;
    const level = Math.cos(elevationDeg * RAD_PER_DEG);
    const ahead = level * Math.cos(azimuthDeg * RAD_PER_DEG);
    const right = level * Math.sin(azimuthDeg * RAD_PER_DEG);
    const field = readFieldToward(table, ahead, right, Math.sin(elevationDeg * RAD_PER_DEG));
    errors.push(Math.abs(2 * toDb(field) - exactDbi));
  }
  return errors;
}
