import { describe, expect, test } from "vitest";
import { computeSectorLoad } from "./sector-load.ts";

const OFFERED = {
  plans: [
    { id: "p100", downMbps: 100, upMbps: 20, oversubscription: 8 },
    { id: "p20", downMbps: 20, upMbps: 4, oversubscription: 8 },
  ],
  traffic: { greatestUtilisation: 0.8, growthPerMonth: 0 },
};

/** Rates with which the up direction never decides. */
const at = (downMbps: number) => ({ downMbps, upMbps: downMbps });

describe("the load of a sector", () => {
  test("counts each subscriber's demand over the capacity of the sector", () => {
    // By hand: 40 x 20 Mbit/s sold, an eighth of it at the busy hour: 100 Mbit/s; all at 200: half of the sector.
    const subscribers = Array(40).fill({ plan: 2, ...at(200) });
    const load = computeSectorLoad(subscribers, at(200), OFFERED);
    expect(load.utilisation).toBeCloseTo(0.5, 12);
    // One more plan of 100: (800 + 100) / 8 / 200.
    expect(load.plans[0]).toEqual({ plan: "p100", utilisation: expect.closeTo(0.5625, 12), fits: true });
  });

  test("refuses the plan that fills it, not the smaller one", () => {
    // By hand: 62 x 20 = 1240 sold, 155 at the busy hour of 200: 0.775; + 20: 0.7875, + 100: 0.8375.
    const subscribers = Array(62).fill({ plan: 2, ...at(200) });
    const { plans } = computeSectorLoad(subscribers, at(200), OFFERED);
    expect(plans.map(({ fits }) => fits)).toEqual([false, true]);
  });

  test("keeps to the utilisation that the network allows, and tells when it is reached", () => {
    // By hand: 40 x 20 / 8 of 200 is 0.5; 0.5 x 1.02^9.2 = 0.6.
    const subscribers = Array(40).fill({ plan: 2, ...at(200) });
    const traffic = { greatestUtilisation: 0.6, growthPerMonth: 0.02 };
    const load = computeSectorLoad(subscribers, at(200), { ...OFFERED, traffic });
    expect([load.limit, load.monthsToFull]).toEqual([0.6, expect.closeTo(9.207, 3)]);
    const strict = { ...traffic, greatestUtilisation: 0.51 };
    expect(computeSectorLoad(subscribers, at(200), { ...OFFERED, traffic: strict }).plans[0].fits).toBe(false);
  });

  test("is dragged down by a slow newcomer", () => {
    // By hand: 50 x 20 + 100 = 1100 sold; all at 200: 137.5 / 200; the newcomer at 20: 137.5 / 110.
    const subscribers = Array(50).fill({ plan: 2, ...at(200) });
    expect(computeSectorLoad(subscribers, at(200), OFFERED).plans[0].fits).toBe(true);
    expect(computeSectorLoad(subscribers, at(20), OFFERED).plans[0].fits).toBe(false);
  });

  test("tells of subscribers without a predicted rate, whose demand it cannot count", () => {
    const subscribers = [
      { plan: 2, ...at(200) },
      { plan: 2, ...at(0) },
    ];
    const load = computeSectorLoad(subscribers, at(200), OFFERED);
    // By hand: 20 / 8 of 200.
    expect([load.subscribers, load.cutOff, load.utilisation]).toEqual([2, 1, expect.closeTo(0.0125, 12)]);
  });

  test("of a sector without subscribers is nothing, and a place without a rate never fits", () => {
    const load = computeSectorLoad([], { downMbps: 120, upMbps: 0 }, OFFERED);
    expect(load).toMatchObject({ subscribers: 0, utilisation: 0 });
    expect(load.plans.every(({ fits }) => !fits)).toBe(true);
  });
});
