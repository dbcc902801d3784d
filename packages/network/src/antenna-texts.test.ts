import { expect, test } from "vitest";
import { checkAntennaTexts, listAntennaTexts, listChangedTexts } from "./antenna-texts.ts";
import { changesSchema } from "./changes.ts";
import { parseCoverageRequest } from "./parse-request.ts";
import { createExampleRequest } from "./testing/example-request.ts";

/** Our own table of a beam 60 degrees wide, 9 dBi: one point for every part of a degree, two polarisations. */
function table(perDegree: number, spoil = (line: string) => line): string {
  const lines = ["H", "V"].flatMap((polarisation) =>
    ["H", "V"].flatMap((cut) =>
      Array.from({ length: 360 * perDegree }, (_, index) => {
        const angleDeg = -180 + index / perDegree;
        const gainDbi = 9 - Math.min(12 * (angleDeg / 60) ** 2, 25);
        return `${cut},${angleDeg.toFixed(3)},${gainDbi.toFixed(2)},${polarisation}`;
      }),
    ),
  );
  return ["cut,angleDeg,gainDbi,polarisation", ...lines.map(spoil)].join("\n");
}

function requestWith(texts: readonly string[]) {
  const example = createExampleRequest();
  const antennas = texts.map((text, index) => ({ id: `t${index}`, kind: "csv", gainDbi: 9, text }));
  return parseCoverageRequest({ ...example, antennas: [...(example.antennas as object[]), ...antennas] });
}

test("texts are found in their antennas, and in those that a shroud changes", () => {
  const csv = { kind: "csv", gainDbi: 9, text: table(1) };
  const antennas = [
    { id: "a", ...csv },
    { id: "b", kind: "shrouded", fromDeg: 60, reductionDb: 6, base: csv },
    { id: "c", kind: "tr38901" },
  ];
  const channel = { centreMhz: 5600, widthMhz: 20 as const };
  const { sectors } = parseCoverageRequest(createExampleRequest());
  const request = parseCoverageRequest({
    ...createExampleRequest(),
    antennas: [...(createExampleRequest().antennas as object[]), ...antennas],
  });
  const texts = listAntennaTexts({ ...request, sectors: [{ ...sectors[0], antenna: "b", channel }] }, "/base");
  expect(texts.map(({ pointer }) => pointer)).toEqual(["/base/antennas/3", "/base/antennas/4"]);
  expect(texts.map(({ frequencyGhz }) => frequencyGhz)).toEqual([5.6, 5.6]);
});

test("texts are found in every change that brings an antenna along", () => {
  const request = parseCoverageRequest(createExampleRequest());
  const [sector] = request.sectors;
  const csv = { id: "t", kind: "csv", gainDbi: 9, text: table(1) };
  const part = { azimuthDeg: 0, antenna: sector.antenna };
  const changes = changesSchema.parse([
    { kind: "turn", sector: sector.id, azimuthDeg: 1 },
    { kind: "swap-antenna", sector: sector.id, antenna: csv },
    {
      kind: "split",
      sector: sector.id,
      into: [
        { ...part, id: "p0" },
        { ...part, id: "p1", antenna: csv },
      ],
    },
    { kind: "add-sector", sector: { ...sector, id: "new", antenna: csv } },
    { kind: "cpe", heightAglM: 8 },
    { kind: "cpe", antenna: csv },
    { kind: "swap-antenna", sector: sector.id, antenna: sector.antenna },
  ]);
  expect(listChangedTexts(changes, request).map(({ pointer }) => pointer)).toEqual([
    ...["/changes/1/antenna", "/changes/2/into/1/antenna", "/changes/3/sector/antenna", "/changes/5/antenna"],
  ]);
});

test("all that cannot be read are named at once, by line", async () => {
  const bad = table(1, (line) => (line === "H,-170.000,-16.00,V" ? "H,-170.000,NaN,V" : line));
  const texts = listAntennaTexts(requestWith([bad, table(1), "cut,angleDeg"]));
  const error = await checkAntennaTexts(texts).catch((thrown: unknown) => thrown);
  expect(error).toMatchObject({
    code: "invalid_input",
    problems: [
      { pointer: "/antennas/3/text", detail: 'line 732: gainDbi must be a number, got "NaN"' },
      { pointer: "/antennas/5/text", detail: "line 1: the column gainDbi occurs 0 times, it must occur once" },
    ],
  });
});

test("a text of some 700 kB is read, and others run between two of them", async () => {
  const largest = table(27);
  expect(largest.length).toBeGreaterThan(600_000);
  expect(largest.length).toBeLessThan(1_000_000);
  const order: string[] = [];
  const checked = checkAntennaTexts(listAntennaTexts(requestWith([largest, largest]))).then(() =>
    order.push("checked"),
  );
  setImmediate(() => order.push("another"));
  await checked;
  expect(order).toEqual(["another", "checked"]);
});

test("more than 64 are refused by the first that is too many", async () => {
  const texts = listAntennaTexts(requestWith(Array.from({ length: 65 }, () => "")));
  await expect(checkAntennaTexts(texts)).rejects.toMatchObject({ problems: [{ pointer: "/antennas/67", limit: 64 }] });
});
