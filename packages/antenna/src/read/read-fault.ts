import { InputError } from "@fellmark/units";

/** A contradiction in a pattern file that does not prevent its use. */
export interface ReadWarning {
  code: string;
  /** Line of the text, from 1. */
  line: number;
  detail: string;
}

/** Refuses a pattern text: names the line and the reason. */
export type Refuse = (line: number, reason: string) => never;

/** Returns the refusal of one text. @param pointer JSON pointer of the antenna whose `text` is read. */
export function createRefuse(pointer: string): Refuse {
  return (line, reason) => {
    throw new InputError([{ pointer: `${pointer}/text`, detail: `line ${line}: ${reason}` }]);
  };
}

const LARGEST_TEXT = 1_000_000;
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d{1,3})?$/i;

/** Returns the lines of a text (CR LF or LF), without the empty ones at its end. */
export function splitLines(text: string, refuse: Refuse): string[] {
  if (text.length > LARGEST_TEXT) refuse(1, `the text has ${text.length} characters, at most ${LARGEST_TEXT}`);
  return text.trimEnd().split(/\r?\n/);
}

/** Returns a finite decimal number, or refuses with the name of the value. */
export function parseNumber(word: string | undefined, what: string, line: number, refuse: Refuse): number {
  const trimmed = word?.trim() ?? "";
  const value = NUMBER.test(trimmed) ? Number(trimmed) : Number.NaN;
  return Number.isFinite(value) ? value : refuse(line, `${what} must be a number, got "${trimmed.slice(0, 40)}"`);
}
