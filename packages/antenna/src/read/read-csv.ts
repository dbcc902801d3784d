import { checkGain } from "./check-gain.ts";
import { buildPattern } from "./pattern-of-cuts.ts";
import { checkCut, MOST_POINTS, type Plane, type ReadCut } from "./read-cut.ts";
import type { ReadAntenna } from "./read-exchange.ts";
import { createRefuse, parseNumber, type ReadWarning, type Refuse, splitLines } from "./read-fault.ts";

const COLUMNS = ["cut", "angleDeg", "gainDbi", "polarisation"] as const;
type Column = (typeof COLUMNS)[number];

const PLANES: ReadonlyMap<string, Plane> = new Map([
  ["horizontal", "horizontal"],
  ["H", "horizontal"],
  ["vertical", "vertical"],
  ["V", "vertical"],
]);
const PORTS: ReadonlyMap<string, 0 | 1> = new Map([
  ["H", 0],
  ["+45", 0],
  ["V", 1],
  ["-45", 1],
]);
const CROSS = "-cross";

/** The greatest level of the file and the gain of its antenna may differ by this. */
const GAIN_TOLERANCE_DB = 0.5;

interface Row {
  plane: Plane;
  port: 0 | 1;
  isCross: boolean;
  line: number;
  angleDeg: number;
  levelDbi: number;
}

/**
 * Reads a text with the columns cut (horizontal, vertical, or H, V), angleDeg (clockwise, or up), gainDbi and
 * polarisation (H, V, +45, -45; "H-cross" and so on for the level in the other polarisation), in any order under their
 * header. The rows of a cut need not be adjacent; their angles rise.
 * Throws InputError below `pointer` that names line and reason.
 * Example: "cut,angleDeg,gainDbi,polarisation" and "vertical,-90,-14,V".
 */
export function readCsv(text: string, gainDbi: number, pointer = ""): ReadAntenna {
  const refuse = createRefuse(pointer);
  const warnings: ReadWarning[] = [];
  const rows = parseRows(text, refuse);
  checkPeak(rows, gainDbi, refuse);
  const cuts = groupCuts(rows, gainDbi, refuse);
  for (const cut of cuts) checkCut(cut, refuse);
  const pattern = buildPattern(cuts, { gainDbi, levels: "actual" }, warnings, refuse);
  checkGain(pattern, 1, warnings, refuse);
  return { pattern, warnings };
}

/** Returns the greatest co-polar gain of the text, dBi: the gain of the antenna where nothing else states it. */
export function readCsvPeakDbi(text: string, pointer = ""): number {
  return findPeakDbi(parseRows(text, createRefuse(pointer)));
}

function parseRows(text: string, refuse: Refuse): Row[] {
  const lines = splitLines(text, refuse);
  const header = lines[0].split(",").map((word) => word.trim());
  const place = findColumns(header, refuse);
  return lines.slice(1).map((text, index) => {
    const line = index + 2;
    const words = text.split(",").map((word) => word.trim());
    if (words.length !== header.length) refuse(line, `${header.length} columns are expected, got ${words.length}`);
    return parseRow((column) => words[place[column]], line, refuse);
  });
}

function findColumns(header: readonly string[], refuse: Refuse): Record<Column, number> {
  const unknown = header.find((name) => !COLUMNS.some((column) => column === name));
  if (unknown !== undefined) {
    const units = /gain|level/i.test(unknown) ? "; give the gain in dBi, as gainDbi" : "";
    refuse(1, `there is no column "${unknown.slice(0, 40)}", the header is ${COLUMNS.join(",")}${units}`);
  }
  for (const column of COLUMNS) {
    const count = header.filter((name) => name === column).length;
    if (count !== 1) refuse(1, `the column ${column} occurs ${count} times, it must occur once`);
  }
  const at = (column: Column) => header.indexOf(column);
  return { cut: at("cut"), angleDeg: at("angleDeg"), gainDbi: at("gainDbi"), polarisation: at("polarisation") };
}

function parseRow(word: (column: Column) => string, line: number, refuse: Refuse): Row {
  const plane = PLANES.get(word("cut"));
  if (!plane) return refuse(line, `the cut is horizontal or vertical, got "${word("cut").slice(0, 40)}"`);
  const isCross = word("polarisation").endsWith(CROSS);
  const port = PORTS.get(isCross ? word("polarisation").slice(0, -CROSS.length) : word("polarisation"));
  if (port === undefined) {
    const got = word("polarisation").slice(0, 40);
    return refuse(line, `the polarisation is H, V, +45 or -45, or with "-cross", got "${got}"`);
  }
  const angleDeg = parseNumber(word("angleDeg"), "angleDeg", line, refuse);
  return { plane, port, isCross, line, angleDeg, levelDbi: parseNumber(word("gainDbi"), "gainDbi", line, refuse) };
}

function findPeakDbi(rows: readonly Row[]): number {
  return rows.reduce((peak, { isCross, levelDbi }) => (isCross ? peak : Math.max(peak, levelDbi)), -Infinity);
}

function checkPeak(rows: readonly Row[], gainDbi: number, refuse: Refuse): void {
  const peakDbi = findPeakDbi(rows);
  if (rows.length === 0 || peakDbi === -Infinity) refuse(1, "there is no co-polar row");
  if (Math.abs(peakDbi - gainDbi) <= GAIN_TOLERANCE_DB) return;
  const line = rows.find((row) => row.levelDbi === peakDbi)?.line ?? 1;
  const cause = Math.abs(peakDbi) < 0.1 ? "; are the levels relative to the peak?" : "";
  refuse(line, `the greatest level is ${peakDbi} dBi, the antenna's gainDbi ${gainDbi}${cause}`);
}

function groupCuts(rows: readonly Row[], gainDbi: number, refuse: Refuse): ReadCut[] {
  const cuts = new Map<string, ReadCut>();
  // The file's own peak is level 0: it may lie up to the tolerance over the stated gain.
  const zeroDbi = Math.max(gainDbi, findPeakDbi(rows));
  for (const { plane, port, isCross, line, angleDeg, levelDbi } of rows) {
    const key = `${plane} ${port} ${isCross}`;
    const cut = cuts.get(key) ?? { plane, port, isCross, line, points: [] };
    if (cut.points.length >= MOST_POINTS) refuse(line, `a cut has at most ${MOST_POINTS} points`);
    cut.points.push({ line, angleDeg, levelDb: levelDbi - zeroDbi });
    cuts.set(key, cut);
  }
  return [...cuts.values()];
}
