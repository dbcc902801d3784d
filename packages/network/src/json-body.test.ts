import { expect, test } from "vitest";
import { parseJsonBody } from "./json-body.ts";

const bytes = (text: string) => new TextEncoder().encode(text);

test("a byte order mark is left out", () => {
  expect(parseJsonBody(bytes('\ufeff{"a":1}'))).toEqual({ a: 1 });
});

test.each([
  ['{"a":1,\n  "b":1,5}', "line 2, column 9: ", "a decimal point, not a comma"],
  ["{'a':1}", "line 1, column 2: ", "double quotes"],
  ['{"a":[1,2', "line 1, column 10: ", "ends too early"],
  ['{"a":1}}', "line 1, column 8: ", "goes on behind its end"],
])("broken JSON is named by line and column: %s", (text, place, reason) => {
  expect(() => parseJsonBody(bytes(text))).toThrow(`the body is not valid JSON: ${place}`);
  expect(() => parseJsonBody(bytes(text))).toThrow(reason);
});

test("bytes that are not UTF-8 are refused", () => {
  expect(() => parseJsonBody(Uint8Array.of(0x22, 0xff, 0x22))).toThrow("not valid UTF-8");
});

test("colons inside strings and keys of many small objects do not count together", () => {
  const objects = Array.from({ length: 20_000 }, () => '{"a":":::"}');
  expect(parseJsonBody(bytes(`[${objects.join(",")}]`))).toHaveLength(20_000);
});

test("brackets inside strings do not count as depth", () => {
  expect(parseJsonBody(bytes(`["${"[".repeat(100)}\\"${"{".repeat(100)}"]`))).toHaveLength(1);
  expect(() => parseJsonBody(bytes("[".repeat(33) + "]".repeat(33)))).toThrow("32 levels");
});
