import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { findForbidden, listTexts, listTitles } from "./forbidden-words.ts";
import { repoRoot } from "./workspace.ts";

/** Documents that people read. */
const DOCUMENTS = ["README.md", "DEVELOPERS.md", ...listFiles("docs", /\.md$/)];

/** Sources whose literals are messages, descriptions, captions and tables. */
const SOURCES = ["packages", "services"].flatMap((group) => listFiles(group, /\.ts$/)).filter(isShipped);

describe("texts that people read", () => {
  test.each(DOCUMENTS)("%s is in plain words", (file) => {
    const lines = readFileSync(join(repoRoot, file), "utf8").split("\n");
    expect(lines.flatMap(findForbidden)).toEqual([]);
  });

  test("messages, descriptions and captions of the sources are in plain words", () => {
    expect(SOURCES.length).toBeGreaterThan(400);
    const found = SOURCES.flatMap((file) =>
      listTexts(readFileSync(join(repoRoot, file), "utf8"))
        .flatMap(findForbidden)
        .map((fault) => `${file}: ${fault}`),
    );
    expect(found).toEqual([]);
  });

  test("titles of tests are in plain words", () => {
    const tests = ["packages", "services", "test"].flatMap((folder) => listFiles(folder, /\.test\.ts$/));
    expect(tests.length).toBeGreaterThan(300);
    // The dialect is quoted in this one.
    const others = tests.filter((file) => !file.endsWith("/plain-words.test.ts"));
    const found = others.flatMap((file) =>
      listTitles(readFileSync(join(repoRoot, file), "utf8"))
        .flatMap(findForbidden)
        .map((fault) => `${file}: ${fault}`),
    );
    expect(found).toEqual([]);
  });

  test.each([
    "what stands around the kit takes 6 dB",
    "terrain 4.3 km from the mast stands 3 m over the line, 9.5 m would do",
    "plan hearth-25 holds with probability 0.02",
    "no subscribers are known, so whom it would harm is not known",
    '"x" is no number',
    "the line is in sight, its Fresnel zone is not free",
  ])("the dialect is caught: %s", (text) => {
    expect(findForbidden(text)).not.toEqual([]);
  });

  test("texts are taken out of literals and templates, not out of comments", () => {
    const source = [
      'const a = "one two three";',
      '// "a stranger hears it"',
      "const b = `the $" + "{what} is here`;",
    ].join("\n");
    expect(listTexts(source)).toEqual(["one two three", "the X is here"]);
  });
});

function listFiles(folder: string, name: RegExp): string[] {
  return readdirSync(join(repoRoot, folder), { recursive: true, encoding: "utf8" })
    .map((file) => `${folder}/${file}`)
    .filter((file) => name.test(file) && !/\/(dist|node_modules)\//.test(file));
}

function isShipped(file: string): boolean {
  return file.includes("/src/") && !/\.test\.ts$|\/testing\/|^packages\/testkit\//.test(file);
}
