import { parseCoverageRequest } from "@fellmark/network";
import { describe, expect, it } from "vitest";
import { answerFromProfile } from "./answer-from-profile.ts";

/** 3 km over level ground at 5.6 GHz, 16 dBi and 19 dBm at both ends. */
function answerWith(sectorChains: 1 | 2, cpeChains: 1 | 2) {
  const request = parseCoverageRequest({
    version: 1,
    area: { radiusM: 8000, zoom: 11 },
    model: { clutter: { class: "open", heightM: 0 }, gas: false },
    sites: [{ id: "mast", lon: -30, lat: 12 }],
    antennas: [{ id: "any", kind: "isotropic", gainDbi: 16 }],
    radios: [{ id: "ax", table: "802.11ax", noiseFigureDb: 6 }],
    sectors: [
      {
        ...{ id: "one", site: "mast", antenna: "any", radio: "ax", heightAglM: 30, azimuthDeg: 0, powerDbm: 19 },
        ...{ channel: { centreMhz: 5600, widthMhz: 20 }, chains: sectorChains },
      },
    ],
    cpe: { antenna: "any", radio: "ax", heightAglM: 10, powerDbm: 19, chains: cpeChains, pointingLossDb: 1 },
    plans: [{ id: "basic", downMbps: 15, upMbps: 3 }],
  });
  const distanceKm = Array.from({ length: 31 }, (_, i) => i / 10);
  return answerFromProfile(request, { distanceKm, groundAmslM: distanceKm.map(() => 100) }, null);
}

describe("a link of one chain", () => {
  it("has SINR 28.0 dB both ways at 3 km: 19 + 16 - 116.95 + 16 - 1 + 94.96, and goes by its better port", () => {
    const [link] = answerWith(1, 1).links;
    // The other port meets what crosses over, 25 dB below, and what obstacles scatter.
    expect(link.sinrDownDb).toBeCloseTo(28.0, 1);
    expect(link.sinrUpDb).toBeCloseTo(28.0, 1);
    const [co, cross] = link.ports;
    expect([co.sinrDownDb, co.sinrUpDb]).toEqual([link.sinrDownDb, link.sinrUpDb]);
    expect(cross.sinrUpDb).toBeCloseTo(3.4, 1);
  });

  it("has the uplink rate of its SINR: one stream after margins, not nothing", () => {
    const [link] = answerWith(1, 1).links;
    const [ofTwo] = answerWith(2, 2).links;
    expect(link.upMbps).toBeGreaterThan(ofTwo.upMbps / 2);
    expect(link.upMbps).toBeLessThan(ofTwo.upMbps);
  });

  it("is a link of two chains on both ports alike: 3.01 dB less each way", () => {
    const [link] = answerWith(2, 2).links;
    expect(link.ports).toHaveLength(1);
    expect(link.sinrUpDb).toBeCloseTo(28.0 - 3.01, 1);
  });
});
