import { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { parseCalibrationBody, parseInstallBody, parseServiceabilityBody } from "./place-questions.ts";

/** The pointer of every field at fault. */
function faultsOf(parse: (body: unknown) => unknown, body: unknown): string[] {
  try {
    parse(body);
    return [];
  } catch (error) {
    if (error instanceof InputError) return error.problems.map(({ pointer }) => pointer);
    throw error;
  }
}

const at = [-30.5, 12.5];

describe("the question whether a place can be served", () => {
  it("takes a point, premises or an address, and fills in the rest", () => {
    expect(parseServiceabilityBody({ version: 1, place: { at } })).toEqual({
      version: 1,
      network: "current",
      radiusM: 15_000,
      place: { at },
      profile: false,
    });
    for (const place of [{ premises: "h-12" }, { address: " Mill Lane 3 " }, { at, quality: "parcel" }])
      expect(faultsOf(parseServiceabilityBody, { version: 1, place })).toEqual([]);
  });

  it.each<[string, object, string]>([
    ["no place", { place: undefined }, "/place"],
    ["coordinates as text", { place: { at: ["-30.5", "12.5"] } }, "/place/at/0"],
    ["degrees and minutes", { place: { at: "12°30'N 30°30'W" } }, "/place/at"],
    [
      "a latitude in the place of a longitude and the other way round",
      { place: { at: [12.5, -130.5] } },
      "/place/at/1",
    ],
    ["an infinite longitude", { place: { at: [Number.POSITIVE_INFINITY, 0] } }, "/place/at/0"],
    ["one number", { place: { at: [12.5] } }, "/place/at"],
    ["an unknown quality", { place: { at, quality: "perfect" } }, "/place/quality"],
    ["an empty address", { place: { address: "  " } }, "/place/address"],
    ["an address of 10 kB", { place: { address: "x".repeat(10_000) } }, "/place/address"],
    ["a point and an address", { place: { at, address: "Mill Lane 3" } }, "/place/address"],
    ["an unknown field", { colour: "red" }, "/colour"],
    ["a height below ground", { heightAglM: -2 }, "/heightAglM"],
    ["a day that does not exist", { asOf: "2026-02-30" }, "/asOf"],
    ["a radius beyond every mast's reach", { radiusM: 1e9 }, "/radiusM"],
    ["a version of no network", { network: "n12" }, "/network"],
  ])("refuses %s by its field", (_, change, pointer) => {
    const body = { version: 1, place: { at }, ...change };
    expect(faultsOf(parseServiceabilityBody, JSON.parse(JSON.stringify(body)))).toContain(pointer);
  });
});

describe("what was read at a mounted CPE", () => {
  const body = { version: 1, place: { at }, sector: "a-n", measured: { signalDbm: -60 } };

  it("is one level or both chains", () => {
    expect(faultsOf(parseInstallBody, body)).toEqual([]);
    expect(faultsOf(parseInstallBody, { ...body, measured: { chainsDbm: [-60, -61], sinrDb: 25 } })).toEqual([]);
  });

  it.each<[string, object, string]>([
    ["no level", { measured: { sinrDb: 25 } }, "/measured/signalDbm"],
    ["a level without its minus", { measured: { signalDbm: 60 } }, "/measured/signalDbm"],
    ["three chains", { measured: { chainsDbm: [-60, -60, -60] } }, "/measured/chainsDbm"],
    ["no sector", { sector: undefined }, "/sector"],
  ])("refuses %s by its field", (_, change, pointer) => {
    expect(faultsOf(parseInstallBody, { ...body, ...change })).toContain(pointer);
  });
});

describe("measured links", () => {
  const link = { id: "u1", sector: "a-n", lon: -30.5, lat: 12.5, signalDbm: -60 };

  it("may hold impossible values, which are refused row by row later", () => {
    const links = [link, { ...link, signalDbm: 4000 }, { ...link, lat: 400 }];
    expect(faultsOf(parseCalibrationBody, { version: 1, links })).toEqual([]);
  });

  it.each<[string, unknown, string]>([
    ["none", [], "/links"],
    ["text for a level", [link, { ...link, signalDbm: "-60" }], "/links/1/signalDbm"],
    ["an unknown field", [{ ...link, rssi: -60 }], "/links/0/rssi"],
    ["too many", Array(5001).fill(link), "/links"],
  ])("refuse %s by their field", (_, links, pointer) => {
    expect(faultsOf(parseCalibrationBody, { version: 1, links })).toContain(pointer);
  });
});
