import { type FieldProblem, InputError } from "@fellmark/units";
import { computeNoiseDbm } from "../noise.ts";
import type { RateRow } from "./rate-row.ts";

/** One step of a data sheet: what it needs (one of two), and what it gives (one of two). */
export interface OwnStep {
  /** Least ratio of signal to noise + interference, dB. */
  sinrDb?: number | undefined;
  /** Least level per chain, dBm. */
  sensitivityDbm?: number | undefined;
  /** Rate in both directions together with `streams` of the table, Mbit/s. */
  rateMbps?: number | undefined;
  /** Coded bits of a symbol and stream; needs the symbol rate of the table. */
  bitsPerSymbol?: number | undefined;
}

/** Steps of a radio on one channel width, slowest first, as its data sheet states them. */
export interface OwnTable {
  widthMhz: number;
  /** Streams for which `rateMbps` is stated. */
  streams: number;
  /** Symbols in a microsecond; for steps with `bitsPerSymbol`. */
  symbolsPerUs?: number | undefined;
  steps: readonly OwnStep[];
}

/**
 * Returns the rates of a radio's own table on a channel. A sensitivity becomes a ratio over k T0 B with the noise
 * figure of the radio; rates are proportional to the streams.
 * Throws RangeError for a width that the tables do not have.
 * Example: -70 dBm on 20 MHz at a noise figure of 6 dB is 24.965 dB.
 */
export function buildOwnRates(
  tables: readonly OwnTable[],
  { widthMhz, streams, noiseFigureDb }: { widthMhz: number; streams: number; noiseFigureDb: number },
): RateRow[] {
  const table = tables.find((candidate) => candidate.widthMhz === widthMhz);
  if (!table) throw new RangeError(`the radio's own table has no channel of ${widthMhz} MHz`);
  return table.steps.map((step, index) => ({
    index,
    name: `step ${index + 1}`,
    snrDb: findSinrDb(step, widthMhz, noiseFigureDb),
    phyMbps: (findRateMbps(step, table) * streams) / (step.rateMbps === undefined ? 1 : table.streams),
  }));
}

function findSinrDb({ sinrDb, sensitivityDbm }: OwnStep, widthMhz: number, noiseFigureDb: number): number {
  return sinrDb ?? (sensitivityDbm ?? Number.NaN) - computeNoiseDbm(widthMhz, noiseFigureDb);
}

/** Returns the rate of a step: as stated for the table's streams, or for one stream from bits per symbol. */
function findRateMbps({ rateMbps, bitsPerSymbol }: OwnStep, { symbolsPerUs }: OwnTable): number {
  return rateMbps ?? (bitsPerSymbol ?? Number.NaN) * (symbolsPerUs ?? Number.NaN);
}

/**
 * Refuses own tables in which a step is incomplete, a step does not rise over the one before in need and in rate, a
 * width occurs twice, or a table has no step.
 * @param pointer JSON pointer of the list of tables. Throws InputError that names each step.
 */
export function checkOwnTables(tables: readonly OwnTable[], pointer: string): void {
  const problems = tables.flatMap((table, index) => [
    ...findWidthProblems(tables, index, `${pointer}/${index}`),
    ...findStepProblems(table, `${pointer}/${index}`),
  ]);
  if (problems.length > 0) throw new InputError(problems);
}

function findWidthProblems(tables: readonly OwnTable[], index: number, pointer: string): FieldProblem[] {
  const { widthMhz } = tables[index];
  if (tables.findIndex((other) => other.widthMhz === widthMhz) === index) return [];
  return [{ pointer: `${pointer}/widthMhz`, detail: `occurs twice: ${widthMhz} MHz`, limit: "one table per width" }];
}

function findStepProblems(table: OwnTable, pointer: string): FieldProblem[] {
  if (table.steps.length === 0)
    return [{ pointer: `${pointer}/steps`, detail: "has no step", limit: "1 or more steps" }];
  return table.steps.flatMap((step, row) => {
    const at = `${pointer}/steps/${row}`;
    const detail = findStepFault(step, table) ?? (row === 0 ? null : findOrderFault(step, table.steps[row - 1]));
    return detail === null ? [] : [{ pointer: at, detail }];
  });
}

/** Returns the fault of one step: it states one need and one rate, in the same fields as the first step. */
function findStepFault(step: OwnStep, { steps: [first], symbolsPerUs }: OwnTable): string | null {
  if ((step.sinrDb === undefined) === (step.sensitivityDbm === undefined)) {
    return "must have either sinrDb or sensitivityDbm";
  }
  if ((step.rateMbps === undefined) === (step.bitsPerSymbol === undefined)) {
    return "must have either rateMbps or bitsPerSymbol";
  }
  if ((step.sinrDb === undefined) !== (first.sinrDb === undefined)) return "must state the same need as the first step";
  if ((step.rateMbps === undefined) !== (first.rateMbps === undefined))
    return "must state its rate as the first step does";
  if (step.bitsPerSymbol !== undefined && symbolsPerUs === undefined)
    return "has bitsPerSymbol, but symbolsPerUs is missing";
  return null;
}

function findOrderFault(step: OwnStep, before: OwnStep): string | null {
  const [need, needBefore] = [step.sinrDb ?? step.sensitivityDbm ?? 0, before.sinrDb ?? before.sensitivityDbm ?? 0];
  const [rate, rateBefore] = [step.rateMbps ?? step.bitsPerSymbol ?? 0, before.rateMbps ?? before.bitsPerSymbol ?? 0];
  if (need === needBefore) return `has the same level as the step before, ${need}: levels must rise`;
  if (need < needBefore) return `has a level of ${need} after ${needBefore}: levels must rise`;
  if (rate === rateBefore) return `has the same rate as the step before, ${rate}: rates must rise`;
  if (rate < rateBefore) return `has a rate of ${rate} after ${rateBefore}: rates must rise`;
  return null;
}
