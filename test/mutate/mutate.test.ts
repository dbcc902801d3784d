import { describe, expect, it } from "vitest";
import { instrument } from "./src/instrument.ts";
import { listMutants } from "./src/mutants.ts";

const replacementsIn = (source: string) =>
  listMutants("a.ts", source).map(({ original, replacement }) => `${original} => ${replacement}`);

describe("mutants of a source", () => {
  it("swap operators, turn comparisons round and move numbers", () => {
    expect(replacementsIn("export const a = (b: number) => b * 3;")).toEqual(["b * 3 => b / 3", "3 => 4"]);
    expect(replacementsIn("const a = b < c;")).toEqual(["b < c => b <= c", "b < c => b >= c"]);
    expect(replacementsIn("const a = Math.min(b, list[0]);")).toEqual([
      "Math.min(b, list[0]) => Math.max(b, list[0])",
      "0 => 1",
    ]);
  });

  it("force conditions, drop calls, elements and properties", () => {
    expect(replacementsIn("if (a) b();")).toEqual(["a => true", "a => false", "a => !(a)", "b() => undefined"]);
    expect(replacementsIn("const a = [...b, ...c];")).toEqual(["[...b, ...c] => [...b]"]);
    expect(replacementsIn("const a = { b, c: d };")).toEqual(["{ b, c: d } => ({c: d})", "{ b, c: d } => ({b})"]);
  });

  it("leave types, imports and the texts of errors alone", () => {
    const source = 'import { a } from "b";\ntype C = 1 | 2;\nthrow new RangeError(`more than $' + "{a + 1}`);\n";
    expect(replacementsIn(source)).toEqual([]);
  });

  it("say where they are", () => {
    const [mutant] = listMutants("a.ts", "// one\n  const a = b - c;\n");
    expect(mutant).toMatchObject({ line: 2, lineText: "const a = b - c;", start: 19, end: 24 });
  });
});

describe("a source with its mutants in it", () => {
  /** Value of the source's `result` with one mutant on. */
  function evaluate(source: string, on: number): unknown {
    const mutants = listMutants("a.ts", source).map((mutant, number) => ({ ...mutant, number }));
    Object.assign(globalThis, { isMutantOn: (number: number) => number === on });
    return new Function(`${instrument(source, mutants)}; return result;`)();
  }

  it("is the source while none is on, and each of them when it is", () => {
    const source = "const result = 2 + 3 * 4";
    const values = [-1, 0, 1, 2, 3, 4].map((on) => evaluate(source, on));
    // 2 + 12; 2 - 12; 3 + 12; 2 + 3 / 4; 2 + 4 * 4; 2 + 3 * 5.
    expect(values).toEqual([14, -10, 15, 2.75, 18, 17]);
  });
});
