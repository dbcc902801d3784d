import { fitWindow } from "@fellmark/geodesy";
import { parseCoverageRequest } from "@fellmark/network";
import { expect, it } from "vitest";
import { NO_DATA } from "../layers/layer-job.ts";
import { countOverlapCells } from "./overlap-cells.ts";

const SITE = { id: "mast", lon: -30, lat: 12 };
const request = parseCoverageRequest({
  version: 1,
  area: { radiusM: 5000, zoom: 12 },
  sites: [SITE],
  antennas: [{ id: "a", kind: "isotropic", gainDbi: 10 }],
  radios: [{ id: "r", table: "802.11ax" }],
  sectors: [0, 90].map((azimuthDeg) => ({
    ...{ id: `s${azimuthDeg}`, site: "mast", antenna: "a", radio: "r", heightAglM: 30, azimuthDeg },
    ...{ channel: { centreMhz: 5600, widthMhz: 20 }, powerDbm: 20 },
  })),
  cpe: { antenna: "a", radio: "r", heightAglM: 6, powerDbm: 20 },
  plans: [{ id: "p", downMbps: 20, upMbps: 5 }],
});

it("counts 40 of 360 degrees around the mast, on the co-channel overlap's side, by the sectors of the co-channel overlap alone", () => {
  const window = fitWindow([SITE], 5000, 12);
  const { width, height } = window;
  const isNorthEast = (cell: number) => cell % width > width / 2 && cell < (width * height) / 2;
  const at = (ofCell: (cell: number) => number) => Array.from({ length: width * height }, (_, cell) => ofCell(cell));
  const cells = {
    tier: Uint8Array.from(at(() => 1)),
    server: Uint8Array.from(at((cell) => (isNorthEast(cell) ? 1 + (cell % 2) : 3))),
    sinrDown: Int16Array.from(at((cell) => (isNorthEast(cell) ? 1200 : NO_DATA))),
  };
  const overlap = { sectors: ["s0", "s90"] as [string, string], azimuthDeg: 45, isSameChannel: true, places: [] };
  const found = countOverlapCells({ request, coverage: { window }, cells }, overlap);
  // Of a square quarter of side L the wedge of 25 .. 65 degrees holds 1 - tan 25.
  const quarter = (width * height) / 4;
  expect(found.cells / quarter).toBeCloseTo(1 - Math.tan((25 * Math.PI) / 180), 2);
  expect(found).toMatchObject({ servedCells: found.cells, meanSinrDownDb: 12 });
  const behind = countOverlapCells({ request, coverage: { window }, cells }, { ...overlap, azimuthDeg: 225 });
  expect(behind).toEqual({ cells: 0, servedCells: 0, meanSinrDownDb: null });
});
