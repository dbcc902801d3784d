import type { CoverageRequest } from "@fellmark/network";
import { parseCoverageRequest } from "@fellmark/network";

/** Four masts in a line from south to north, 15 km apart: each is heard up to 60 km away. */
const MASTS = [44.3, 44.435, 44.57, 44.705].map((lat, index) => ({ id: `m${index}`, lon: -71.55, lat }));

const LOOKS = [0, 120, 240];

/**
 * Twelve sectors on one channel, three on each mast, 15 km around each, on the 3" tile N44W072.
 * @param swapped azimuth of one sector, so that the request is another while every loss stays.
 */
export function networkRequest(swapped = 0): unknown {
  return {
    version: 1,
    name: "twelve sectors",
    area: { radiusM: 15_000, zoom: 12 },
    model: { clutter: { class: "open", heightM: 0 } },
    sites: MASTS,
    antennas: [
      { id: "panel", kind: "f1336", gainDbi: 16, azimuthWidthDeg: 90, form: "average" },
      { id: "cpe", kind: "f1245", gainDbi: 24, diameterM: 0.35 },
    ],
    radios: [{ id: "radio", table: "802.11ax" }],
    sectors: MASTS.flatMap(({ id: site }, mast) =>
      LOOKS.map((look, index) => ({
        ...{ id: `${site}-${index}`, site, antenna: "panel", radio: "radio", heightAglM: 30, downtiltDeg: 2 },
        ...{ channel: { centreMhz: 5600, widthMhz: 20 }, powerDbm: 20 },
        azimuthDeg: mast === 1 && index === 1 ? look + swapped : look,
      })),
    ),
    cpe: { antenna: "cpe", radio: "radio", heightAglM: 6, powerDbm: 20 },
    plans: [
      { id: "fast", downMbps: 100, upMbps: 20 },
      { id: "basic", downMbps: 25, upMbps: 5 },
    ],
    outputs: ["tiers"],
  };
}

export function parsedNetwork(swapped = 0): CoverageRequest {
  return parseCoverageRequest(networkRequest(swapped));
}
