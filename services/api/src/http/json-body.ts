import { FellmarkError } from "@fellmark/units";
import { type RequestHandler, raw } from "express";

export const MAX_BODY_BYTES = 1_000_000;

/** Of bodies that hold a network or a list of premises: 20,000 subscribers fit. */
export const MAX_NETWORK_BYTES = 20_000_000;

/** Our deepest request has 6 levels; beyond this it is an attack on whatever recurses. */
const MAX_DEPTH = 32;

/** Our largest object has a key for each of 6,000 sectors; more are an attack on whatever lists unknown keys. */
const MAX_KEYS = 10_000;

/** Reads the bytes of a JSON body into `req.body`, unparsed; over the limit, also once inflated, is refused with 413. */
export function readJsonBody(maxBytes = MAX_BODY_BYTES): RequestHandler[] {
  return [refuseOtherTypes, raw({ type: () => true, limit: maxBytes })];
}

const refuseOtherTypes: RequestHandler = (req, _res, next) => {
  if (!req.is(["application/json", "application/*+json"])) {
    throw new FellmarkError("unsupported_media_type", "the body must be application/json");
  }
  const charset = /charset\s*=\s*"?([^\s";]+)/i.exec(req.get("Content-Type") ?? "")?.[1] ?? "utf-8";
  if (!/^utf-?8$/i.test(charset)) throw new FellmarkError("unsupported_media_type", "the body must be UTF-8");
  next();
};

/**
 * The value in the bytes of a JSON body. Throws `malformed_json` for invalid UTF-8, a byte order mark, bad syntax or
 * nesting beyond 32 levels, more than 10,000 keys in an object: both are counted before it is parsed. Of a key that stands twice the last value counts, as JSON.parse has it.
 */
export function parseJsonBody(bytes: unknown): unknown {
  if (!(bytes instanceof Uint8Array) || bytes.length === 0) throw malformed("the body is empty");
  const text = decodeUtf8(bytes);
  if (text.startsWith("\ufeff")) throw malformed("the body starts with a byte order mark");
  const { depth, keys } = measureShape(text);
  if (depth > MAX_DEPTH) throw malformed(`the body nests deeper than ${MAX_DEPTH} levels`);
  if (keys > MAX_KEYS) throw malformed(`an object of the body has more than ${MAX_KEYS} keys`);
  try {
    return JSON.parse(text);
  } catch {
    throw malformed("the body is not valid JSON");
  }
}

function malformed(detail: string): FellmarkError {
  return new FellmarkError("malformed_json", detail);
}

function decodeUtf8(bytes: Uint8Array): string {
  try {
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw malformed("the body is not valid UTF-8");
  }
}

interface Shape {
  /** Deepest nesting of brackets. */
  depth: number;
  /** Most keys of one object, those that stand twice counted twice. */
  keys: number;
}

/** The shape of a JSON text, in one pass without recursion; what stands in strings does not count. */
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
