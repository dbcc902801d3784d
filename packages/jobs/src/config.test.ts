import type { FieldProblem } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { toStorageSettings, toWholeNumber } from "./config.ts";

describe("settings", () => {
  it("have defaults, and folders become absolute", () => {
    const faults: FieldProblem[] = [];
    expect(toStorageSettings({ FELLMARK_DATA_DIR: " /d/../data " }, faults)).toMatchObject({
      dataDir: "/data",
      terrainDir: `${process.cwd()}/terrain`,
      redisUrl: undefined,
      retention: { minFreeBytes: 268_435_456, resultsMs: 31_536_000_000, lossCache: { maxBytes: 2_147_483_648 } },
    });
    expect(faults).toEqual([]);
  });

  it("never quote the address of Redis, which may hold a password", () => {
    const faults: FieldProblem[] = [];
    toStorageSettings({ REDIS_URL: "http://:secret@host" }, faults);
    expect(faults).toHaveLength(1);
    expect(JSON.stringify(faults)).not.toContain("secret");
  });

  it.each(["x", "1.5", "-1", "1e3", "0x10", "11", "NaN"])("take %j for a fault, never for the default", (text) => {
    const faults: FieldProblem[] = [];
    toWholeNumber({ N: text }, "N", { fallback: 5, min: 0, max: 10 }, faults);
    expect(faults).toEqual([{ pointer: "N", detail: `must be a whole number, got "${text}"`, limit: "0 to 10" }]);
  });
});
