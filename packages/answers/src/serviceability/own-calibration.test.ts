import type { MeasuredRow } from "@fellmark/network";
import { createSeededRandom } from "@fellmark/testkit";
import { describe, expect, test } from "vitest";
import { listMeasuredSubscribers } from "./measured-links.ts";
import { fitOwnCalibration } from "./own-calibration.ts";
import { createFakeNetwork, createGoodAnswer, createSmallRequest, link } from "./testing/fake-network.ts";

const NOW = Date.parse("2026-11-25T12:00:00Z");

/** Every path is clear, 2 km long and expected with -60 dBm. */
const network = () => createFakeNetwork((at) => createGoodAnswer(at, { links: [link("a-n", -60), link("a-s", -60)] }));

/** Links over 6 km of country whose levels are `byDb` under what is expected, give or take 2 dB. */
function rows(count: number, byDb: number): MeasuredRow[] {
  const random = createSeededRandom(1);
  return Array.from({ length: count }, (_, index) => ({
    id: `u${index}`,
    sector: index % 2 === 0 ? "a-n" : "a-s",
    lon: -30.5 + 0.06 * random(),
    lat: 12.5 + 0.06 * random(),
    signalDbm: -60 - byDb + 4 * (random() - 0.5),
  }));
}

describe("a calibration from own links", () => {
  test("learns what the model lacks, as far as the links support it", async () => {
    const { calibration, links, rejected } = await fitOwnCalibration(network(), rows(60, 8), NOW);
    expect({ links, rejected }).toEqual({ links: 60, rejected: [] });
    expect(calibration.validation.applied).toBe(true);
    const { offsetDb } = calibration.classes.clear ?? { offsetDb: Number.NaN };
    expect(offsetDb + calibration.sectors["a-n"].biasDb).toBeCloseTo(8, 0);
  });

  test("is predicted from the sector named, at the link's own height and with its own CPE", async () => {
    const [row] = rows(1, 0);
    const big = { ...createSmallRequest().cpe, powerDbm: 24 };
    const asked = createFakeNetwork((at) => createGoodAnswer(at), { cpes: { big } });
    await fitOwnCalibration(asked, [{ ...row, heightAglM: 9, cpe: "big" }], NOW);
    expect(asked.asked[0].change).toEqual({ sectors: ["a-n"], heightAglM: 9, cpe: big });
  });

  test.each<[string, Partial<MeasuredRow>, string]>([
    ["an unknown sector", { sector: "nowhere" }, "sector"],
    ["an unknown CPE", { cpe: "nowhere" }, "cpe"],
    ["a latitude that does not exist", { lat: 400 }, "lat"],
    ["a longitude that does not exist", { lon: -181 }, "lon"],
    ["a height in the ground", { heightAglM: -1 }, "heightAglM"],
    ["a level that no receiver reads", { signalDbm: 4000 }, "signalDbm"],
    ["a day to come", { measuredAt: "2027-01-01T00:00:00Z" }, "measuredAt"],
    ["an id that stands twice", { id: "u0" }, "id"],
    ["a sector that does not reach", { sector: "b-e" }, "lon"],
  ])("leaves out %s, by row and reason", async (_, change, field) => {
    const links = rows(12, 0);
    links[7] = { ...links[7], ...change };
    const report = await fitOwnCalibration(network(), links, NOW);
    expect(report.links).toBe(11);
    expect(report.rejected).toEqual([{ row: 7, id: links[7].id, field, reason: expect.any(String) }]);
  });

  test("takes the subscribers with a measured level", () => {
    const subscriber = { id: "u1", sector: "a-n", lon: -30.5, lat: 12.51, plan: "p25" };
    const measured = { signalDbm: -61, at: "2026-05-04T09:30:00Z" };
    const { subscribers } = createSmallRequest({
      subscribers: [subscriber, { ...subscriber, id: "u2", heightAglM: 9, measured }],
    });
    expect(listMeasuredSubscribers({ subscribers })).toEqual([
      { id: "u2", sector: "a-n", lon: -30.5, lat: 12.51, heightAglM: 9, signalDbm: -61, measuredAt: measured.at },
    ]);
  });
});
