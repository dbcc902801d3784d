import { InputError, MAX_PROBLEMS } from "@fellmark/units";
import { describe, expect, test } from "vitest";
import { z } from "zod";
import { coverageRequestSchema } from "./coverage-request.ts";
import { parseBody } from "./field-problems.ts";
import { createExampleRequest } from "./testing/example-request.ts";

/** The detail of the problem at a pointer of a request that is parsed. */
function detailAt(pointer: string, change: object): string | undefined {
  const error = errorOf(() => parseBody(coverageRequestSchema, { ...createExampleRequest(), ...change }));
  return error.problems.find((problem) => problem.pointer === pointer)?.detail;
}

function errorOf(work: () => unknown): InputError {
  try {
    work();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error("nothing was refused");
}

describe("a problem names the value, what the field means and its range", () => {
  test.each([
    [
      "/sites/0/lat",
      { sites: [{ id: "a", lon: 1 }] },
      "is missing: latitude in degrees, north positive, WGS84, -85 to 85",
    ],
    ["/sites/0/lat", { sites: [{ id: "a", lon: 1, lat: "1" }] }, 'is "1", not a number: latitude in degrees'],
    ["/sites/0/lon", { sites: [{ id: "a", lon: 190, lat: 1 }] }, "is 190, above 180: longitude in degrees"],
    ["/quality", { quality: "best" }, 'is "best", not one of accurate, preview: effort of the computation'],
    ["/plans", { plans: [] }, "has 0 items, fewer than 1: plans on sale"],
    ["/name", { name: "n".repeat(201) }, "has 201 characters, more than 200: title of the map"],
    ["/antennas/0/kind", { antennas: [{ id: "a", kind: "yagi" }] }, 'is "yagi", not one of isotropic, tr38901, '],
    ["/antennas/0/kind", { antennas: [{ id: "a" }] }, "is missing"],
    ["/antennas/0/form", { antennas: [{ id: "a", kind: "horn" }] }, "is missing: field in the mouth"],
    ["/antennas/0/form", { antennas: [{ id: "a", kind: "f1336" }] }, "is missing: form of the pattern"],
  ])("%s %j", (pointer, change, detail) => {
    expect(detailAt(pointer, change)).toContain(detail);
  });
});

test("the message reads as a sentence about the field", () => {
  const error = errorOf(() =>
    parseBody(coverageRequestSchema, { ...createExampleRequest(), sites: [{ id: "a", lon: 1 }] }),
  );
  expect(error.message).toContain("/sites/0/lat is missing: latitude in degrees");
});

test("of a hundred thousand unknown keys a hundred are told, at once", () => {
  const keys = Object.fromEntries(Array.from({ length: 100_000 }, (_, index) => [`unknown-${index}`, 0]));
  const error = errorOf(() => parseBody(coverageRequestSchema, { ...createExampleRequest(), ...keys }));
  expect(error.problems).toHaveLength(MAX_PROBLEMS);
  expect(error.message.length).toBeLessThan(10_000);
  expect(error.message).toMatch(/; and \d+ more$/);
});

test("a field without a description keeps a plain message", () => {
  expect(errorOf(() => parseBody(z.strictObject({ a: z.number() }), {})).problems[0]).toEqual({
    pointer: "/a",
    detail: "is missing",
  });
});

test.each(["a\u001b[31mred", "line\nbreak", "\u202eesrever", "\u0000"])(
  "a name with control characters is refused, as it is printed on terminals and maps: %j",
  (name) => {
    expect(detailAt("/name", { name })).toContain("must not hold control characters");
  },
);
