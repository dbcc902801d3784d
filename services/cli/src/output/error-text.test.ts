import { expect, test } from "vitest";
import { buildProblemDocument, findExitCode, wordError } from "./error-text.ts";

const problem = (index: number) => ({ pointer: `/sites/${index}/lat`, detail: "is missing", limit: "-90 to 90" });

test("one problem is one sentence with its limit", () => {
  const record = { code: "invalid_input", detail: "", problems: [problem(3)] };
  expect(wordError(record)).toBe("Error: /sites/3/lat is missing (allowed: -90 to 90)\n");
});

test("a detail that names its field is not preceded by it", () => {
  const problems = [{ pointer: "--out", detail: "--out is missing" }];
  expect(wordError({ code: "invalid_input", detail: "", problems })).toBe("Error: --out is missing\n");
});

test("a limit that the detail states is not repeated", () => {
  const problems = [{ pointer: "/sites/0/lat", detail: "is 95, above 90: latitude, -90 to 90", limit: 90 }];
  const text = "Error: /sites/0/lat is 95, above 90: latitude, -90 to 90\n";
  expect(wordError({ code: "invalid_input", detail: "", problems })).toBe(text);
});

test("many problems are a list of twenty and the count of the others", () => {
  const problems = Array.from({ length: 25 }, (_, index) => problem(index));
  const lines = wordError({ code: "invalid_input", detail: "", problems }).trimEnd().split("\n");
  expect(lines).toHaveLength(22);
  expect(lines[0]).toBe("Error: 25 problems in the input");
  expect(lines.at(-1)).toBe("  and 5 more");
});

test("a text of others cannot steer the terminal", () => {
  expect(wordError({ code: "terrain_empty", detail: "\u001b[2Jno raster" })).toBe("Error: \ufffd[2Jno raster\n");
});

test.each<[string, boolean, number]>([
  ["invalid_input", true, 2],
  ["terrain_set_unknown", true, 2],
  ["terrain_empty", false, 3],
  ["raster_damaged", false, 3],
  ["mast_not_known", false, 3],
  ["profile_gap", false, 3],
  ["cancelled", false, 130],
  ["internal_error", false, 1],
])("%s (with problems: %s) ends with %d", (code, hasProblems, exitCode) => {
  expect(findExitCode({ code, detail: "", ...(hasProblems && { problems: [problem(0)] }) })).toBe(exitCode);
});

test("the problem document names every problem", () => {
  const problems = [problem(0), problem(1)];
  expect(buildProblemDocument({ code: "invalid_input", detail: "two", problems })).toEqual({
    ...{ type: "about:blank", title: "invalid input", code: "invalid_input", detail: "two" },
    errors: problems,
  });
});
