import { createUnreadableError } from "./file-text.ts";
import type { RowFault } from "./rejection.ts";
import { MAX_RECORD_CHARS, type TableRow } from "./table.ts";

export interface CsvForm {
  delimiter: string;
  /** Line end other than "\n" or "\r\n". */
  newline?: "\n" | "\r";
}

/**
 * Reads CSV in pieces: accepts text, returns complete records. Blank lines count but are not records. Characters after a
 * closing quote are a fault of that row; a quote inside an unquoted cell is text.
 * Source: RFC 4180, section 2; any one-character delimiter.
 */
export interface CsvReader {
  push(text: string): TableRow[];
  /** Returns the last record if no line end follows it. Throws InputError for an unclosed quote. */
  end(): TableRow[];
}

export function createCsvReader({ delimiter, newline = "\n" }: CsvForm): CsvReader {
  let rest = "";
  let row = 0;

  /** Takes complete records off `rest`; `isLast`: the text ends here. */
  function take(isLast: boolean): TableRow[] {
    const rows: TableRow[] = [];
    const text = rest;
    let at = 0;
    let quoteAt = text.indexOf('"');
    while (at < text.length) {
      const lineEnd = text.indexOf(newline, at);
      if (lineEnd < 0 && !isLast) break;
      const lineStop = lineEnd < 0 ? text.length : lineEnd;
      if (quoteAt >= 0 && quoteAt < at) quoteAt = text.indexOf('"', at);
      if (quoteAt < 0 || quoteAt > lineStop) {
        row++;
        const line = trimReturn(text.slice(at, lineStop));
        if (line !== "") rows.push({ row, cells: line.split(delimiter) });
        at = lineStop + 1;
        continue;
      }
      const record = takeQuotedRecord(text, at, { delimiter, newline, isLast });
      if (!record) break;
      row++;
      rows.push({ row, cells: record.cells, ...(record.fault && { fault: record.fault }) });
      at = record.next;
    }
    rest = text.slice(at);
    if (rest.length > MAX_RECORD_CHARS || (isLast && rest !== "")) throw openQuote(row + 1);
    return rows;
  }

  return {
    push(text) {
      rest += text;
      return take(false);
    },
    end: () => take(true),
  };
}

function openQuote(row: number): Error {
  return createUnreadableError(
    `opens a quote in row ${row} that is never closed, or holds a record of over ${MAX_RECORD_CHARS} characters`,
  );
}

function trimReturn(line: string): string {
  return line.endsWith("\r") ? line.slice(0, -1) : line;
}

interface QuotedRecord {
  cells: string[];
  /** Start of the next record. */
  next: number;
  fault?: RowFault;
}

/** Takes one record with quotes; undefined while its end is not in the text. */
function takeQuotedRecord(
  text: string,
  start: number,
  { delimiter, newline, isLast }: Required<CsvForm> & { isLast: boolean },
): QuotedRecord | undefined {
  const cells: string[] = [];
  let fault: RowFault | undefined;
  let at = start;
  for (;;) {
    const isQuoted = text[at] === '"';
    const inside = isQuoted ? takeQuotedCell(text, at) : { cell: "", next: at };
    if (!inside) return undefined;
    at = inside.next;
    const stop = findCellEnd(text, at, delimiter, newline);
    if (stop === text.length && !isLast) return undefined;
    const more = text[stop] === delimiter ? text.slice(at, stop) : trimReturn(text.slice(at, stop));
    if (isQuoted && more !== "") fault ??= toBadQuotesFault(cells.length + 1);
    cells.push(inside.cell + more);
    if (text[stop] !== delimiter) return { cells, next: stop + 1, ...(fault && { fault }) };
    at = stop + 1;
  }
}

/** Takes a cell from its opening quote to behind the closing one; a doubled quote is one quote. */
function takeQuotedCell(text: string, open: number): { cell: string; next: number } | undefined {
  let cell = "";
  let from = open + 1;
  for (;;) {
    const close = text.indexOf('"', from);
    if (close < 0) return undefined;
    cell += text.slice(from, close);
    if (text[close + 1] !== '"') return { cell, next: close + 1 };
    cell += '"';
    from = close + 2;
  }
}

/** Returns the end of an unquoted cell: the next delimiter, line end, or the end of the text. */
function findCellEnd(text: string, from: number, delimiter: string, newline: string): number {
  const atDelimiter = text.indexOf(delimiter, from);
  const atLineEnd = text.indexOf(newline, from);
  return Math.min(atDelimiter < 0 ? text.length : atDelimiter, atLineEnd < 0 ? text.length : atLineEnd);
}

function toBadQuotesFault(cell: number): RowFault {
  return {
    column: `cell ${cell}`,
    reason: "bad_quotes",
    detail: "text follows a closing quote",
    suggestion: "write a quote inside a quoted cell twice",
  };
}
