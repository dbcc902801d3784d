import { InputError } from "@fellmark/units";

/** Something in a pattern file that does not fit but may stand. */
export interface ReadWarning {
  code: string;
  /** Line of the text, from 1. */
  line: number;
  detail: string;
}

/** Refuses a pattern text: names the line and the reason. */
export type Refuse = (line: number, reason: string) => never;

/** @param pointer JSON pointer of the antenna whose `text` is read. */
export function refuseBelow(pointer: string): Refuse {
  return (line, reason) => {
    throw new InputError([{ pointer: `${pointer}/text`, detail: `line ${line}: ${reason}` }]);
  };
}

const LARGEST_TEXT = 1_000_000;
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d{1,3})?$/i;

/** The lines of a text that ends its lines with CR LF or LF, without the empty ones at its end. */
export function linesOf(text: string, refuse: Refuse): string[] {
  if (text.length > LARGEST_TEXT) refuse(1, `the text has ${text.length} characters, at most ${LARGEST_TEXT}`);
  return text.trimEnd().split(/\r?\n/);
}

/** A finite decimal number, or a refusal that says what it should have been. */
export function numberIn(word: string | undefined, what: string, line: number, refuse: Refuse): number {
  const trimmed = word?.trim() ?? "";
  const value = NUMBER.test(trimmed) ? Number(trimmed) : Number.NaN;
  return Number.isFinite(value) ? value : refuse(line, `${what} must be a number, got "${trimmed.slice(0, 40)}"`);
}
