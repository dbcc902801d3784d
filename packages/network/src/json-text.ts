import { InputError } from "@fellmark/units";

/**
 * Parses JSON that a person has written. A byte order mark is left out; UTF-16 with one is read as such.
 * Throws InputError that names line and column of the first fault, also of a field that an object has twice.
 * @param name stands before the message: the file.
 */
export function parseJsonText(bytes: Uint8Array, name: string): unknown {
  const text = decodeText(bytes, name);
  const fault = describeJsonFault(text);
  if (fault !== undefined) throw refuseJson(name, fault);
  return JSON.parse(text);
}

/** Describes the first fault of a JSON text with its line and column; undefined where there is none. */
export function describeJsonFault(text: string): string | undefined {
  const fault = findJsonFault(text);
  return fault && `${findPosition(text, fault.at)}: ${fault.detail}`;
}

function refuseJson(name: string, detail: string): InputError {
  return new InputError([{ pointer: "", detail: `${name} is not JSON: ${detail}` }]);
}

function decodeText(bytes: Uint8Array, name: string): string {
  const [first, second] = bytes;
  const encoding =
    first === 0xff && second === 0xfe ? "utf-16le" : first === 0xfe && second === 0xff ? "utf-16be" : "utf-8";
  try {
    return new TextDecoder(encoding, { fatal: true }).decode(bytes);
  } catch {
    throw refuseJson(name, `its text is not ${encoding.toUpperCase()}`);
  }
}

function findPosition(text: string, at: number): string {
  const before = text.slice(0, at);
  const line = before.split("\n").length;
  return `line ${line}, column ${at - before.lastIndexOf("\n")}`;
}

interface JsonFault {
  /** Index in the text. */
  at: number;
  detail: string;
}

const PLAIN = String.raw`(?:[^"\\\p{Cc}]|[\x7f-\x9f])*`;
const ESCAPE = String.raw`\\(?:["\\/bfnrt]|u[\da-fA-F]{4})`;
const NUMBER = String.raw`-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?`;

/** One token behind white space: a sign, a string, or another value. Source: RFC 8259. */
const TOKEN = new RegExp(
  String.raw`[\t\n\r ]*(?:([{}[\],:])|("${PLAIN}(?:${ESCAPE}${PLAIN})*")|(?:${NUMBER}|true|false|null)(?![\w.]))`,
  "uy",
);

/** The tokens that may follow. */
type Expected = "value" | "value or ]" | "field or }" | "field" | ":" | ", or end";

/** An open object with its fields so far; an open list has none. */
type Open = Set<string> | "list";

/** The tokens that may follow a token; undefined where the token may not stand there, an object for another fault. */
type Step = Expected | { detail: string } | undefined;

/** The first fault of a text in one pass without recursion; undefined where it is JSON. */
function findJsonFault(text: string): JsonFault | undefined {
  const open: Open[] = [];
  let expected: Expected = "value";
  let end = 0;
  for (;;) {
    if (open.length === 0 && expected === ", or end") break;
    TOKEN.lastIndex = end;
    const token = TOKEN.exec(text);
    const at = token ? TOKEN.lastIndex - token[0].trimStart().length : skipSpace(text, end);
    const next: Step | null = token && stepJson(token, open, expected);
    if (!token || !next || typeof next === "object") {
      return next && typeof next === "object" ? { at, ...next } : { at, detail: wordFault(text, at, expected) };
    }
    expected = next;
    end = TOKEN.lastIndex;
  }
  const rest = skipSpace(text, end);
  return rest < text.length ? { at: rest, detail: "the text goes on behind its end" } : undefined;
}

function stepJson([, sign, string]: RegExpExecArray, open: Open[], expected: Expected): Step {
  const around = open.at(-1);
  if (sign === "}" || sign === "]") {
    const isOwn = sign === "]" ? around === "list" : around instanceof Set;
    if (!isOwn || !(expected === ", or end" || expected.endsWith(sign))) return undefined;
    open.pop();
    return ", or end";
  }
  if (sign === ",") return expected === ", or end" && around ? (around === "list" ? "value" : "field") : undefined;
  if (sign === ":") return expected === ":" ? "value" : undefined;
  if (expected === "field" || expected === "field or }")
    return string === undefined ? undefined : addField(around, string);
  if (expected !== "value" && expected !== "value or ]") return undefined;
  if (sign === undefined) return ", or end";
  open.push(sign === "[" ? "list" : new Set<string>());
  return sign === "[" ? "value or ]" : "field or }";
}

function addField(fields: Open | undefined, quoted: string): Step {
  if (!(fields instanceof Set)) return ":";
  const name: string = JSON.parse(quoted);
  if (fields.has(name)) return { detail: `the field ${quoted.slice(0, 40)} is given twice` };
  fields.add(name);
  return ":";
}

function skipSpace(text: string, from: number): number {
  const found = text.slice(from).search(/[^\t\n\r ]/);
  return found < 0 ? text.length : from + found;
}

const WANTED: Readonly<Record<Expected, string>> = {
  value: "a value is expected",
  "value or ]": "a value or ] is expected",
  "field or }": 'a field name in "double quotes" or } is expected',
  field: 'a field name in "double quotes" is expected',
  ":": "a colon is expected",
  ", or end": "a comma or the closing bracket is expected",
};

/** The fault in words, with the usual reason. */
function wordFault(text: string, at: number, expected: Expected): string {
  const [line] = text.slice(at, at + 20).split("\n");
  if (at === text.length)
    return text.trim() === "" ? "the text is empty" : `the text ends too early; ${WANTED[expected]}`;
  const reason = findReason(text.slice(0, at).trimEnd().at(-1), text.slice(at, at + 20));
  return `${WANTED[expected]}, got ${line}${reason === undefined ? "" : `; ${reason}`}`;
}

/** The usual reason of a fault, by the sign before it and the text from it on. */
function findReason(before: string | undefined, rest: string): string | undefined {
  if (/^(?:\/\/|\/\*|#)/.test(rest)) return "JSON has no comments";
  if (rest.startsWith("'")) return "use double quotes";
  if (/^[“”„]/.test(rest)) return 'use straight double quotes "';
  if (/^[}\]]/.test(rest) && before === ",") return "leave out the comma before it";
  if (/^\d+\s*[,}]/.test(rest) && before === ",") return "write numbers with a decimal point, not a comma";
  if (/^(?:NaN|-?Infinity|undefined|None)\b/.test(rest)) return "write null, or leave the field out";
  if (/^(?:True|False|TRUE|FALSE)\b/.test(rest)) return "write true or false in small letters";
  if (/^(?:\+|-?\.|-?0)\d/.test(rest)) return "write numbers as 0.5 or -3";
  if (/^".*$/m.test(rest) && before === ":") return "close the text in its line";
  return /^"/.test(rest) ? "a comma is missing before it" : undefined;
}
