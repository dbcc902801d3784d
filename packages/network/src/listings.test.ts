import { describe, expect, test } from "vitest";
import { antennaSchema } from "./antenna-schema.ts";
import { listAntennaKinds, listCableClasses, listClutterClasses, listPowerRules } from "./listings.ts";

describe("what a request can name", () => {
  test("every antenna kind of the schema is listed, and each of its fields has a description", () => {
    const kinds = antennaSchema.options.flatMap(({ shape }) => {
      const { kind } = shape;
      return "options" in kind ? kind.options : [...kind.values];
    });
    expect(
      listAntennaKinds()
        .map(({ kind }) => kind)
        .sort(),
    ).toEqual(kinds.sort());
    for (const { kind, fields } of listAntennaKinds())
      for (const { name, description } of fields) expect(description, `${kind}.${name}`).not.toBe("");
  });

  test("a horn lists what it needs and what it may have", () => {
    const horn = listAntennaKinds().find(({ kind }) => kind === "horn");
    const required = horn?.fields.filter(({ isRequired }) => isRequired).map(({ name }) => name);
    expect(required).toEqual(["form", "diameterM", "slantLengthM"]);
    expect(horn?.fields.map(({ name }) => name)).toContain("idealLobes");
  });

  test("100 m of 10 mm foam cable lose 35.4 dB at 5.8 GHz", () => {
    // 13.02 sqrt(5.8) + 0.7 x 5.8 = 31.36 + 4.06
    const cable = listCableClasses().find(({ id }) => id === "foam-10mm");
    expect(cable?.lossPer100M).toContainEqual({ frequencyGhz: 5.8, lossDb: 35.42 });
  });

  test("trees are 15 m high at an end, by ITU-R P.2108-1, section 3.1", () => {
    expect(listClutterClasses()).toContainEqual(expect.objectContaining({ class: "trees", endHeightM: 15 }));
  });

  test("every power rule states its source and whether its text was read", () => {
    for (const rule of listPowerRules()) expect(rule).toMatchObject({ source: expect.stringMatching(/./) });
    expect(listPowerRules().length).toBeGreaterThan(10);
  });
});
