import { createExampleRequest } from "./example-request.ts";

/** The network of the example request, with a second sector, two CPEs and a subscriber. */
export function createExampleNetwork(): Record<string, unknown> {
  const { area: _area, quality: _quality, outputs: _outputs, cpe, ...shared } = createExampleRequest();
  const [sector] = shared.sectors as Record<string, unknown>[];
  return {
    ...shared,
    zoom: 12,
    sectors: [sector, { ...sector, id: "s1-s", azimuthDeg: 180, channel: { centreMhz: 5640, widthMhz: 20 } }],
    cpes: [
      { id: "k1", ...(cpe as object) },
      { id: "k2", ...(cpe as object), powerDbm: 24 },
    ],
    isolations: [{ sectors: ["s1-n", "s1-s"], isolationDb: 60 }],
    subscribers: [
      { id: "u1", sector: "s1-n", lon: -76.7488, lat: 40.82, cpe: "k2", plan: "p25" },
      { id: "u2", sector: "s1-s", lon: -76.7, lat: 40.73, plan: "p100" },
    ],
  };
}
