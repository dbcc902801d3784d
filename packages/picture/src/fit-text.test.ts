import { expect, test } from "vitest";
import { fitText, measureTextPx, toPlainText, wrapText } from "./fit-text.ts";

const LETTERS = { sizePx: 12 };

test("plain text has no controls, no turns of direction, no piles of accents, and single spaces", () => {
  expect(toPlainText(" Kiln\u0000 Row\t\n4\u202Egnp.exe\u200B\uFFFF\uD800 ")).toBe("Kiln Row 4gnp.exe");
  expect(toPlainText(`z${"\u0301".repeat(50)}!`)).toBe("z\u0301\u0301!");
  expect(toPlainText("Åsgård, 4 % <b> & \"q\" 'a'")).toBe("Åsgård, 4 % <b> & \"q\" 'a'");
});

test("text that fits stays as it is, longer text ends in an ellipsis within the width", () => {
  expect(fitText("4 Kiln Row", 200, LETTERS)).toBe("4 Kiln Row");
  for (const long of ["W".repeat(10_000), "il".repeat(5_000), "😀".repeat(500)]) {
    const fitted = fitText(long, 200, LETTERS);
    expect(fitted.endsWith("…")).toBe(true);
    expect(measureTextPx(fitted, LETTERS)).toBeLessThanOrEqual(200);
    expect(measureTextPx(`${fitted}${long.slice(0, 2)}`, LETTERS)).toBeGreaterThan(200);
  }
});

test("lines break between words, and the last says that there was more", () => {
  const lines = wrapText("one two three four five six seven", 80, 3, LETTERS);
  expect(lines).toHaveLength(3);
  for (const line of lines) expect(measureTextPx(line, LETTERS)).toBeLessThanOrEqual(80);
  expect(lines[0]).toBe("one two");
  expect(wrapText("one two", 500, 3, LETTERS)).toEqual(["one two"]);
});
