/** Fault of a rejected row, with advice. */
export interface RowFault {
  column: string;
  /** Stable name of the kind of fault. */
  reason: string;
  detail: string;
  suggestion: string;
}

/** A fault in its row; rows count from 1 and the header of a CSV file is row 1, as in a spreadsheet. */
export interface RejectedRow extends RowFault {
  row: number;
}

const QUOTED_CHARS = 80;

/** Returns the text of a cell for a message: bounded in length, control characters made visible. */
export function quoteCell(text: string): string {
  const short = text.length > QUOTED_CHARS ? `${text.slice(0, QUOTED_CHARS)}…` : text;
  return JSON.stringify(short);
}
