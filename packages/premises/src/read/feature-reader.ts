import { createUnreadableError } from "./file-text.ts";
import { MAX_RECORD_CHARS } from "./table.ts";

/** The parts of a feature that are read. Source: RFC 7946, section 3.2. */
export interface Feature {
  type?: unknown;
  id?: unknown;
  geometry?: { type?: unknown; coordinates?: unknown } | null;
  properties?: Record<string, unknown> | null;
}

/**
 * Reads the features of a FeatureCollection in pieces, or features that follow each other (RFC 8142, or one per line);
 * parses one feature at a time. Text after the list of features is ignored.
 */
export interface FeatureReader {
  push(text: string): Feature[];
  /** Throws InputError when the file ends in the middle. */
  end(): void;
}

const OPENS_FEATURES = /"features"\s*:\s*\[/;

const QUOTE = 0x22;
const BACKSLASH = 0x5c;
const OPEN_BRACE = 0x7b;
const CLOSE_BRACE = 0x7d;
const OPEN_BRACKET = 0x5b;
const CLOSE_BRACKET = 0x5d;
/** Separators of features: white space, a comma, the record separator. */
const BETWEEN: ReadonlySet<number> = new Set([0x20, 0x09, 0x0a, 0x0d, 0x2c, 0x1e]);

/** Returns a reader. @param head the beginning of the text; for a collection it contains the start of the list. */
export function createFeatureReader(head: string): FeatureReader {
  const opening = OPENS_FEATURES.exec(head);
  const isCollection = opening !== null;
  let toSkip = opening ? opening.index + opening[0].length : 0;
  let rest = "";
  let scanned = 0;
  let depth = 0;
  let inString = false;
  let isOver = false;
  let count = 0;

  function parseFeature(text: string): Feature {
    count++;
    try {
      return JSON.parse(text) as Feature;
    } catch {
      throw createUnreadableError(`is not valid GeoJSON: feature ${count} cannot be parsed`);
    }
  }

  /** Continues after the last piece; complete features are removed from `rest`. */
  function take(): Feature[] {
    const features: Feature[] = [];
    let start = 0;
    let at = scanned;
    for (; at < rest.length && !isOver; at++) {
      const code = rest.charCodeAt(at);
      if (inString) {
        if (code === BACKSLASH) at++;
        else if (code === QUOTE) inString = false;
      } else if (depth === 0) {
        if (code === OPEN_BRACE) {
          depth = 1;
          start = at;
        } else if (code === CLOSE_BRACKET && isCollection) isOver = true;
        else if (!BETWEEN.has(code)) throw createUnreadableError(`is not valid GeoJSON behind feature ${count}`);
      } else if (code === QUOTE) inString = true;
      else if (code === OPEN_BRACE || code === OPEN_BRACKET) depth++;
      else if ((code === CLOSE_BRACE || code === CLOSE_BRACKET) && --depth === 0) {
        features.push(parseFeature(rest.slice(start, at + 1)));
        start = at + 1;
      }
    }
    rest = depth === 0 ? "" : rest.slice(start);
    // A backslash at the end has skipped one character of the next piece.
    scanned = depth === 0 ? 0 : at - start;
    if (rest.length > MAX_RECORD_CHARS) {
      throw createUnreadableError(`holds a feature of over ${MAX_RECORD_CHARS} characters behind feature ${count}`);
    }
    return features;
  }

  return {
    push(text) {
      if (isOver) return [];
      const skipped = Math.min(toSkip, text.length);
      toSkip -= skipped;
      rest += text.slice(skipped);
      return take();
    },
    end() {
      if (depth > 0 || (isCollection && !isOver))
        throw createUnreadableError(`ends in the middle, behind feature ${count}`);
    },
  };
}
