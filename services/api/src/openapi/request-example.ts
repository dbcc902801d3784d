import type { coverageRequestSchema } from "@fellmark/network";
import type { z } from "zod";

/** A small request that shows every part: two sectors on one mast, two plans. */
export const requestExample: z.input<typeof coverageRequestSchema> = {
  version: 1,
  name: "north ridge",
  area: { radiusM: 5_000, cellM: 30 },
  quality: "accurate",
  sites: [{ id: "s1", lon: -76.7488, lat: 40.7763 }],
  antennas: [
    { id: "cpe", kind: "isotropic", gainDbi: 16 },
    { id: "panel", kind: "tr38901" },
  ],
  radios: [{ id: "r1", table: "802.11ax", streams: 2 }],
  sectors: [
    {
      id: "s1-n",
      site: "s1",
      antenna: "panel",
      radio: "r1",
      heightAglM: 30,
      azimuthDeg: 0,
      downtiltDeg: 2,
      channel: { centreMhz: 5600, widthMhz: 20 },
      powerDbm: 19,
      timingGroup: "synchronised",
    },
    {
      id: "s1-s",
      site: "s1",
      antenna: "panel",
      radio: "r1",
      heightAglM: 30,
      azimuthDeg: 180,
      downtiltDeg: 2,
      channel: { centreMhz: 5640, widthMhz: 20 },
      powerDbm: 19,
      timingGroup: "synchronised",
    },
  ],
  cpe: { heightAglM: 6, antenna: "cpe", radio: "r1", powerDbm: 19 },
  plans: [
    { id: "p100", downMbps: 100, upMbps: 20 },
    { id: "p25", downMbps: 25, upMbps: 5 },
  ],
};
