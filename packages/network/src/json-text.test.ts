import { createSeededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { parseJsonText } from "./json-text.ts";
import { createExampleRequest } from "./testing/example-request.ts";

const bytesOf = (text: string) => new TextEncoder().encode(text);

describe("reads what people save", () => {
  it.each([
    ["plain", bytesOf('{"a": [1, -2.5e3, true, null, "\\u00e9\\n"], "b": {}}')],
    ["with a byte order mark", bytesOf('\ufeff{"a": [1, -2.5e3, true, null, "\\u00e9\\n"], "b": {}}')],
    ["as UTF-16", Buffer.from('\ufeff{"a": [1, -2.5e3, true, null, "\\u00e9\\n"], "b": {}}', "utf16le")],
  ])("%s", (_how, bytes) => {
    expect(parseJsonText(bytes, "r.json")).toEqual({ a: [1, -2500, true, null, "é\n"], b: {} });
  });

  it("a list of 200,000 lists in each other neither parses nor overflows", () => {
    expect(() => parseJsonText(bytesOf("[".repeat(200_000)), "r.json")).toThrow("line 1, column 200001");
  });
});

describe("names line, column and reason", () => {
  it.each([
    ["a comma before the end", '{\n "a": 1,\n}', "line 3, column 1: a field name", "leave out the comma before it"],
    ["a comma before the end of a list", "[1, 2,\n ]", "line 2, column 2: a value", "leave out the comma before it"],
    ["a comma that is missing", '{\n "a": 1\n "b": 2\n}', "line 3, column 2: a comma", "a comma is missing before it"],
    ["single quotes", "{'a': 1}", "line 1, column 2", "use double quotes"],
    ["curly quotes", "{“a”: 1}", "line 1, column 2", "straight double quotes"],
    ["a comment", '{"a": 1} // note', "line 1, column 10", "goes on behind its end"],
    ["a comment inside", '{\n // note\n "a": 1}', "line 2, column 2", "JSON has no comments"],
    ["no value", '{"a": }', "line 1, column 7: a value is expected", "got }"],
    ["not a number", '{"a": NaN}', "line 1, column 7", "write null"],
    ["True", '{"a": True}', "line 1, column 7", "small letters"],
    ["a leading zero", '{"a": 07}', "line 1, column 7", "write numbers as 0.5"],
    ["a decimal comma", '{"a": 45,5}', "line 1, column 10: a field name", "decimal point"],
    [
      "a text that is cut off",
      '{"a": [1, 2',
      "line 1, column 12: the text ends too early",
      "a comma or the closing bracket",
    ],
    ["the wrong bracket", '{"a": [1, 2}', "line 1, column 12: a comma or the closing bracket", "got }"],
    ["a line break in a string", '{"a": "b\nc"}', "line 1, column 7: a value", "close the text in its line"],
    ["a field twice", '{"a": 1,\n "b": 2, "a": 3}', "line 2, column 10", 'the field "a" is given twice'],
    ["an empty file", " \n ", "line 2, column 2: the text is empty", "empty"],
  ])("%s", (_what, text, position, reason) => {
    const parse = () => parseJsonText(bytesOf(text), "r.json");
    expect(parse).toThrow(position);
    expect(parse).toThrow(reason);
    expect(parse).toThrow("r.json is not JSON: ");
  });

  it("bytes that are not text", () => {
    expect(() => parseJsonText(new Uint8Array([0x7b, 0xff, 0x7d]), "r.json")).toThrow("its text is not UTF-8");
  });
});

it("finds a fault where JSON.parse does, and nowhere else, in 3,000 spoilt requests", () => {
  const random = createSeededRandom(12);
  const whole = JSON.stringify(createExampleRequest());
  const signs = ['"', "{", "}", "[", "]", ",", ":", "0", "-", ".", "e", "\\", "t", " ", "\u0085", "\u0001"];
  const pick = (count: number) => Math.floor(random() * count);
  const isJson = (parse: () => unknown) => {
    try {
      parse();
      return true;
    } catch (error) {
      // JSON.parse takes the last of two fields with one name.
      return String(error).includes("is given twice");
    }
  };
  for (let run = 0; run < 3000; run++) {
    const at = pick(whole.length);
    const spoilt = whole.slice(0, at) + signs[pick(signs.length)] + whole.slice(at + pick(3));
    const expected = isJson(() => JSON.parse(spoilt));
    expect([spoilt, isJson(() => parseJsonText(bytesOf(spoilt), "r.json"))]).toEqual([spoilt, expected]);
  }
});

it("reads a string of two million letters", () => {
  const text = JSON.stringify({ text: "a".repeat(2_000_000) });
  expect(parseJsonText(bytesOf(text), "r.json")).toEqual(JSON.parse(text));
});
