import {
  CUT_RECORDS,
  END_RECORDS,
  FREQUENCY_RECORDS,
  HEADER_RECORDS,
  LONGEST_POINT,
  type RecordRule,
} from "./exchange-records.ts";
import { MOST_POINTS } from "./read-cut.ts";
import { parseNumber, type ReadWarning, type Refuse, splitLines } from "./read-fault.ts";

/** One record's value and its line, from 1. */
export interface ExchangeRecord {
  value: string;
  line: number;
}

export type ExchangeRecords = ReadonlyMap<string, ExchangeRecord>;

export interface ExchangeCut {
  records: ExchangeRecords;
  points: { line: number; angleDeg: number; level: number }[];
}

/** Records of a file, not yet interpreted. */
export interface ExchangeFile {
  header: ExchangeRecords;
  frequencies: { records: ExchangeRecords; cuts: ExchangeCut[] }[];
}

/** Limit for any record. A line above its own record's limit is common and harmless: a warning. */
const LONGEST_RECORD = 80;
const MOST_FREQUENCIES = 100;
const MOST_CUTS = 100;

/**
 * Reads the pattern-exchange text: records in their order, then for every frequency its cuts with their points
 * "angle,level" and perhaps ",phase", which is not used.
 * Source: NSMA WG16.99.050 (20 May 1999) / TIA-804-B.
 */
export function parseExchangeText(text: string, warnings: ReadWarning[], refuse: Refuse): ExchangeFile {
  const cursor: Cursor = { lines: splitLines(text, refuse), next: 0, warnings };
  const header = takeRecords(cursor, HEADER_RECORDS, refuse);
  const count = readCount(header, "NOFREQ", MOST_FREQUENCIES, refuse);
  const frequencies = Array.from({ length: count }, () => {
    const records = takeRecords(cursor, FREQUENCY_RECORDS, refuse);
    const cutCount = readCount(records, "NUMCUT", MOST_CUTS, refuse);
    return { records, cuts: Array.from({ length: cutCount }, () => takeCut(cursor, refuse)) };
  });
  const end = readRecord(takeRecords(cursor, END_RECORDS, refuse), "ENDFIL");
  if (end.value !== "EOF") refuse(end.line, "the last record is ENDFIL:,EOF");
  if (cursor.next < cursor.lines.length) refuse(cursor.next + 1, "there is text after the end of the file");
  return { header, frequencies };
}

/** Returns a required record; the reader has checked that it is there. */
export function readRecord(records: ExchangeRecords, tag: string): ExchangeRecord {
  const record = records.get(tag);
  if (!record) throw new TypeError(`${tag} is not a required record`);
  return record;
}

interface Cursor {
  lines: string[];
  next: number;
  warnings: ReadWarning[];
}

function takeCut(cursor: Cursor, refuse: Refuse): ExchangeCut {
  const records = takeRecords(cursor, CUT_RECORDS, refuse);
  const count = readCount(records, "NUPOIN", MOST_POINTS, refuse);
  const points = Array.from({ length: count }, () => takePoint(cursor, refuse));
  checkEnds(readRecord(records, "FSTLST"), points, refuse);
  return { records, points };
}

/** Takes the records at the cursor, in the order of the rules; refuses a missing required one. */
function takeRecords(cursor: Cursor, rules: readonly RecordRule[], refuse: Refuse): ExchangeRecords {
  const records = new Map<string, ExchangeRecord>();
  for (const { tag, isRequired, longest } of rules) {
    const text = cursor.lines[cursor.next];
    const line = cursor.next + 1;
    if (text?.startsWith(`${tag}:,`)) {
      if (text.length > LONGEST_RECORD) refuse(line, `${tag} has ${text.length} characters, at most ${LONGEST_RECORD}`);
      else if (text.length > longest) cursor.warnings.push(warnOfLongRecord(tag, line, text.length, longest));
      records.set(tag, { value: text.slice(tag.length + 2).trim(), line });
      cursor.next++;
    } else if (isRequired) refuse(line, refuseMissing(tag, text));
  }
  return records;
}

function warnOfLongRecord(tag: string, line: number, length: number, longest: number): ReadWarning {
  return { code: "record_long", line, detail: `${tag} has ${length} characters, the form allows ${longest}` };
}

function refuseMissing(tag: string, text: string | undefined): string {
  const instead = text === undefined ? "the text ends" : `got "${text.slice(0, 40)}"`;
  const units = tag === "GUNITS" ? "; without it a gain may be dBi or dBd" : "";
  return `the record ${tag}:, is expected, ${instead}${units}`;
}

function readCount(records: ExchangeRecords, tag: string, most: number, refuse: Refuse): number {
  const { value, line } = readRecord(records, tag);
  const count = parseNumber(value, tag, line, refuse);
  if (!Number.isInteger(count) || count < 1 || count > most) refuse(line, `${tag} is ${value}, not 1 to ${most}`);
  return count;
}

function takePoint(cursor: Cursor, refuse: Refuse): ExchangeCut["points"][number] {
  const text = cursor.lines[cursor.next];
  const line = ++cursor.next;
  if (text === undefined) refuse(line, "the text ends within a cut");
  if (text.length > LONGEST_POINT) refuse(line, `a point has at most ${LONGEST_POINT} characters`);
  const [angle, level, phase, ...more] = text.split(",");
  if (level === undefined || more.length > 0) refuse(line, `a point is "angle,level,phase", got "${text}"`);
  if (phase !== undefined && phase.trim() !== "") parseNumber(phase, "the phase", line, refuse);
  return {
    line,
    angleDeg: parseNumber(angle, "the angle", line, refuse),
    level: parseNumber(level, "the level", line, refuse),
  };
}

function checkEnds({ value, line }: ExchangeRecord, points: ExchangeCut["points"], refuse: Refuse): void {
  const [first, last] = value.split(",").map((word) => parseNumber(word, "FSTLST", line, refuse));
  const found = [points[0].angleDeg, points[points.length - 1].angleDeg];
  if (first === found[0] && last === found[1]) return;
  refuse(line, `FSTLST says ${value}, the points go from ${found[0]} to ${found[1]}`);
}
