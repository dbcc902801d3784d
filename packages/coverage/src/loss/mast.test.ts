import { type CoverageRequest, parseCoverageRequest } from "@fellmark/network";
import { computeDeltaBullington } from "@fellmark/propagation";
import { createSeededRandom } from "@fellmark/testkit";
import { computeWavelengthM } from "@fellmark/units";
import { expect, it } from "vitest";
import { isOneSite, listMasts, MAX_DEVIATION } from "./mast.ts";

function request(channelsMhz: number[], heightsM: number[] = []): CoverageRequest {
  return parseCoverageRequest({
    version: 1,
    area: { radiusM: 5000, zoom: 12 },
    sites: [{ id: "s", lon: 10, lat: 45 }],
    antennas: [{ id: "a", kind: "tr38901" }],
    radios: [{ id: "r", table: "802.11ax" }],
    sectors: channelsMhz.map((centreMhz, index) => ({
      id: `s${index}`,
      site: "s",
      antenna: "a",
      radio: "r",
      heightAglM: heightsM[index] ?? 30,
      azimuthDeg: 90 * index,
      channel: { centreMhz, widthMhz: 20 },
      powerDbm: 20,
    })),
    cpe: { antenna: "a", radio: "r", heightAglM: 6, powerDbm: 20 },
    plans: [{ id: "p", downMbps: 10, upMbps: 2 }],
  });
}

it("shares one sweep among channels close together", () => {
  const { masts, mastOfSource } = listMasts(request([5600, 5640, 5680]));
  expect(masts).toHaveLength(1);
  expect(mastOfSource).toEqual([0, 0, 0]);
});

it("sweeps apart what lies apart: in frequency, and in height", () => {
  expect(listMasts(request([5200, 5800])).masts).toHaveLength(2);
  expect(listMasts(request([5600, 5600], [30, 20])).masts).toHaveLength(2);
});

it("takes an external emitter for another site, even one that bears the name of a site", () => {
  const alone = request([5600, 5640]);
  expect(isOneSite(alone, listMasts(alone).masts)).toBe(true);
  const channel = { centreMhz: 5600, widthMhz: 20 };
  const emitter = { id: "s", lon: 10.02, lat: 45, heightAglM: 30, eirpDbm: 30, channel, activity: 1 };
  const heard = { ...alone, emitters: [emitter] };
  expect(isOneSite(heard, listMasts(heard).masts)).toBe(false);
});

it("is off by no more than 0.05 dB where a channel lies as far from the frequency of its sweep as it may", () => {
  const random = createSeededRandom(3);
  const distanceM = Float64Array.from({ length: 300 }, (_, j) => j * 30);
  let worst = 0;
  for (let tried = 0; tried < 300; tried++) {
    const roughness = 5 + 60 * random();
    const heights = Float64Array.from(distanceM, (d) => 300 + roughness * (Math.sin(d / 700 + tried) + 0.3 * random()));
    const lossAt = (frequencyGhz: number) =>
      computeDeltaBullington({
        profile: { distanceM, surfaceAmslM: heights, bareAmslM: heights },
        txHeightAglM: 30,
        rxHeightAglM: 6,
        wavelengthM: computeWavelengthM(frequencyGhz),
        frequencyGhz,
        effectiveEarthRadiusM: 8_494_667,
        polarisation: "vertical",
        seaFraction: 0,
      }).lossDb;
    worst = Math.max(worst, Math.abs(lossAt(5.6) - lossAt(5.6 * (1 + MAX_DEVIATION))));
  }
  expect(worst).toBeLessThanOrEqual(0.05);
});
