/** Why a row was not taken, and what would help. */
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

/** Text of a cell as it may be quoted back: of bounded length, its control characters shown. */
export function quoted(text: string): string {
  const short = text.length > QUOTED_CHARS ? `${text.slice(0, QUOTED_CHARS)}…` : text;
  return JSON.stringify(short);
}
