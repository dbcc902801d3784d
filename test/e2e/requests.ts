import { TINY_TILE } from "./tiny-terrain.ts";

interface RequestChange {
  name?: string;
  lon?: number;
  area?: { radiusM: number; zoom: number };
}

/** A request as a client writes it: two sectors on a mast on the ridge of the tiny terrain. */
export function ridgeRequest(change: RequestChange = {}) {
  const { name = "ridge", lon = TINY_TILE.west + 0.5, area = { radiusM: 2_000, zoom: 12 } } = change;
  const sector = { site: "s1", antenna: "panel", radio: "r1", heightAglM: 30, downtiltDeg: 2, powerDbm: 19 };
  return {
    version: 1,
    name,
    area,
    sites: [{ id: "s1", lon, lat: TINY_TILE.south + 0.5 }],
    antennas: [
      { id: "cpe", kind: "isotropic", gainDbi: 16 },
      { id: "panel", kind: "tr38901" },
    ],
    radios: [{ id: "r1", table: "802.11ax", streams: 2 }],
    sectors: [
      { ...sector, id: "s1-n", azimuthDeg: 0, channel: { centreMhz: 5600, widthMhz: 20 } },
      { ...sector, id: "s1-s", azimuthDeg: 180, channel: { centreMhz: 5640, widthMhz: 20 } },
    ],
    cpe: { heightAglM: 6, antenna: "cpe", radio: "r1", powerDbm: 19 },
    plans: [
      { id: "p100", downMbps: 100, upMbps: 20 },
      { id: "p25", downMbps: 25, upMbps: 5 },
    ],
    emitters: [],
  };
}

/** One that keeps a worker busy long enough to be met while it runs. */
export function longRequest(name: string) {
  return ridgeRequest({ name, area: { radiusM: 20_000, zoom: 14 } });
}
