import { FellmarkError } from "@fellmark/units";
import { describeJsonFault } from "./json-text.ts";

/** Our deepest request has 6 levels; beyond this it is an attack on whatever recurses. */
const MAX_DEPTH = 32;

/** Our largest object has a key for each of 6,000 sectors; more are an attack on whatever lists unknown keys. */
const MAX_KEYS = 10_000;

/**
 * Returns the value in the bytes of the JSON body of a request; a byte order mark is left out.
 * Throws `malformed_json` for invalid UTF-8, for bad syntax with its line and column, and, counted before anything is
 * parsed, for nesting beyond 32 levels and more than 10,000 keys in an object. Of a key that stands twice the last value
 * counts, as JSON.parse has it.
 */
export function parseJsonBody(bytes: unknown): unknown {
  if (!(bytes instanceof Uint8Array) || bytes.length === 0) throw createMalformedError("the body is empty");
  const text = decodeUtf8(bytes);
  const { depth, keys } = measureShape(text);
  if (depth > MAX_DEPTH) throw createMalformedError(`the body nests deeper than ${MAX_DEPTH} levels`);
  if (keys > MAX_KEYS) throw createMalformedError(`an object of the body has more than ${MAX_KEYS} keys`);
  try {
    return JSON.parse(text);
  } catch {
    throw createMalformedError(`the body is not valid JSON: ${describeJsonFault(text)}`);
  }
}

function createMalformedError(detail: string): FellmarkError {
  return new FellmarkError("malformed_json", detail);
}

function decodeUtf8(bytes: Uint8Array): string {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    throw createMalformedError("the body is not valid UTF-8");
  }
}

interface Shape {
  /** Deepest nesting of brackets. */
  depth: number;
  /** Most keys of one object, those that stand twice counted twice. */
  keys: number;
}

/** Measures a JSON text in one pass without recursion; what stands in strings does not count. */
function measureShape(text: string): Shape {
  const keysByDepth: number[] = [];
  const most: Shape = { depth: 0, keys: 0 };
  let inString = false;
  for (let i = 0; i < text.length; i++) {
    const char = text[i];
    if (inString) {
      if (char === "\\") i++;
      else if (char === '"') inString = false;
    } else if (char === '"') inString = true;
    else if (char === "{" || char === "[") {
      keysByDepth.push(0);
      most.depth = Math.max(most.depth, keysByDepth.length);
      if (most.depth > MAX_DEPTH) return most;
    } else if (char === "}" || char === "]") keysByDepth.pop();
    else if (char === ":" && keysByDepth.length > 0) {
      const keys = (keysByDepth.pop() ?? 0) + 1;
      keysByDepth.push(keys);
      most.keys = Math.max(most.keys, keys);
    }
  }
  return most;
}
