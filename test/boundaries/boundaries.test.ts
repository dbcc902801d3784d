import { describe, expect, test } from "vitest";
import { breachesOf } from "./import-rules.ts";
import { importedBy, importsUnder, readManifest, readUnits, type Unit } from "./workspace.ts";

const rootTools = Object.keys(readManifest(".").devDependencies ?? {});

describe("the import table holds", () => {
  const units = readUnits();

  test("something was read", () => {
    expect(units.length).toBeGreaterThan(10);
    expect(units.flatMap((unit) => unit.imports).length).toBeGreaterThan(100);
  });

  test.each(units.map((unit) => [unit.folder, unit] as const))("%s", (_folder, unit) => {
    expect(breachesOf(unit, rootTools)).toEqual([]);
  });

  test("tests and benches use the doors too", () => {
    const past = importsUnder("test").filter(({ specifier }) =>
      /^@fellmark\/.+\/|\/(packages|services)\//.test(specifier),
    );
    expect(past).toEqual([]);
  });
});

describe("a breach is caught", () => {
  const clean: Unit = {
    folder: "packages/radio",
    name: "@fellmark/radio",
    dependencies: ["@fellmark/units"],
    devDependencies: [],
    references: ["units"],
    imports: [{ file: "packages/radio/src/noise.ts", specifier: "@fellmark/units", fromTest: false }],
  };

  function breachesWith(change: Partial<Unit>, specifier?: string, fromTest = false): string[] {
    const added = specifier ? [{ file: "packages/radio/src/noise.ts", specifier, fromTest }] : [];
    const unit = { ...clean, ...change };
    return breachesOf({ ...unit, imports: unit.imports.concat(added) }, ["vitest", "@fellmark/testkit"]);
  }

  test("none in a clean package", () => {
    expect(breachesWith({})).toEqual([]);
    expect(breachesWith({}, "./channel.ts")).toEqual([]);
    expect(breachesWith({}, "node:fs")).toEqual([]);
    expect(breachesWith({}, "@fellmark/testkit", true)).toEqual([]);
  });

  test.each([
    ["an arrow up the table", "@fellmark/coverage", /radio may not import @fellmark\/coverage/],
    ["itself, by its own name", "@fellmark/radio", /radio may not import @fellmark\/radio/],
    ["a service", "@fellmark/api", /only packages may be imported/],
    ["a file of another package", "../../units/src/decibel.ts", /reaches out of its package/],
    ["past a door", "@fellmark/units/dist/decibel.js", /reaches past the door/],
    ["a heavy library elsewhere", "zod", /whose door is packages\/network,services\/api/],
    ["an undeclared library", "left-pad", /does not declare/],
    ["a test tool", "vitest", /does not declare/],
    ["the testkit", "@fellmark/testkit", /for tests/],
  ])("%s", (_what, specifier, breach) => {
    expect(breachesWith({}, specifier).join("\n")).toMatch(breach);
  });

  test("a service that imports a service", () => {
    const breaches = breachesWith({ folder: "services/api", dependencies: ["@fellmark/units", "@fellmark/worker"] });
    expect(breaches.join("\n")).toMatch(/@fellmark\/worker is a service/);
  });

  test("a dependency that is declared, and nothing imports it", () => {
    expect(breachesWith({ dependencies: ["@fellmark/units", "geotiff"] })).toEqual([
      "packages/radio/package.json declares geotiff, which nothing imports",
    ]);
  });

  test("tsconfig references that differ from the dependencies", () => {
    expect(breachesWith({ references: [] })).toEqual(["packages/radio/tsconfig.json lacks a reference to units"]);
    expect(breachesWith({ references: ["units", "antenna"] })).toEqual([
      "packages/radio/tsconfig.json refers to antenna, undeclared",
    ]);
  });

  test("every form of import is seen, and none in a comment", () => {
    const source = `
      import { a } from "one";
      import type {
        B,
      } from "two";
      export * from './three.ts';
      import "four";
      const five = await import("five");
      const six = createRequire(import.meta.url).resolve("six-by-variable");
      const seven = import.meta.resolve("seven/file.css"); // like import("no")
      /* from "never" */
    `;
    expect(importedBy(source)).toEqual(["one", "two", "./three.ts", "four", "five", "seven/file.css"]);
  });
});
