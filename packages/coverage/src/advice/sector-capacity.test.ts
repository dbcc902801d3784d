import { describe, expect, it } from "vitest";
import { type CapacityPlace, computeSectorCapacity } from "./sector-capacity.ts";

const plans = [
  { id: "p100", downMbps: 100, upMbps: 20, oversubscription: 8 },
  { id: "p25", downMbps: 25, upMbps: 5, oversubscription: 8 },
];
const calm = { greatestUtilisation: 0.8, growthPerMonth: 0 };
const growing = { ...calm, growthPerMonth: 0.02 };

const placesAt = (count: number, downMbps: number, plan = 0): CapacityPlace[] =>
  Array.from({ length: count }, () => ({ plan, downMbps, upMbps: downMbps / 2 }));

describe("capacity of a sector", () => {
  // Two worked figures of the trade: equal data for all, N / sum(1 / r).
  it("is the harmonic mean of the rates: 8 x 100 and 2 x 20 give 55.6, 9 x 100 and 1 x 6.5 give 41", () => {
    expect(computeSectorCapacity([...placesAt(8, 100), ...placesAt(2, 20)], plans, calm).downMbps).toBeCloseTo(55.6, 1);
    expect(computeSectorCapacity([...placesAt(9, 100), ...placesAt(1, 6.5)], plans, calm).downMbps).toBeCloseTo(41, 0);
  });

  it("weighs places by what their plans sell", () => {
    const { downMbps } = computeSectorCapacity([...placesAt(1, 100, 1), ...placesAt(1, 50, 2)], plans, calm);
    expect(downMbps).toBeCloseTo(125 / (100 / 100 + 25 / 50), 9);
  });

  it("tells how full it is, who still fits and when it is full", () => {
    const capacity = computeSectorCapacity(placesAt(4, 100, 1), plans, growing);
    // Down 400 / 8 = 50 of 100 Mbit/s; up 80 / 8 = 10 of 50.
    expect(capacity.utilisation).toBeCloseTo(0.5, 12);
    expect(capacity.contention).toBeCloseTo(4, 12);
    expect(capacity.room).toEqual([
      { plan: "p100", subscribers: 2 },
      { plan: "p25", subscribers: 9 },
    ]);
    expect(0.5 * 1.02 ** (capacity.monthsToFull as number)).toBeCloseTo(0.8, 12);
    expect(computeSectorCapacity(placesAt(4, 100, 1), plans, calm).monthsToFull).toBeNull();
    expect(computeSectorCapacity(placesAt(8, 100, 1), plans, calm).monthsToFull).toBe(0);
  });

  it("takes the demand as each plan states it, by oversubscription or as it was measured", () => {
    const busyHour = { downMbps: 2.5, upMbps: 0.5 };
    const measured = [
      { ...plans[0], oversubscription: 4 },
      { ...plans[1], busyHour },
    ];
    const { demandDownMbps, demandUpMbps, utilisation, contention } = computeSectorCapacity(
      [...placesAt(2, 100, 1), ...placesAt(4, 100, 2)],
      measured,
      calm,
    );
    // Down 2 x 100 / 4 + 4 x 2.5 of 100 Mbit/s, up 2 x 20 / 4 + 4 x 0.5 of 50; sold 300 and 60.
    expect([demandDownMbps, demandUpMbps, utilisation, contention]).toEqual(
      [60, 12, 0.6, 3].map((value) => expect.closeTo(value, 12)),
    );
  });

  it("is full at the utilisation that is allowed, and tells how full the next years make it", () => {
    const places = placesAt(4, 100, 1);
    const careful = computeSectorCapacity(places, plans, { greatestUtilisation: 0.5, growthPerMonth: 0.02 });
    expect(careful).toMatchObject({ utilisation: 0.5, monthsToFull: 0 });
    expect(careful.room.map(({ subscribers }) => subscribers)).toEqual([0, 0]);
    // 1.02^12 = 1.26824, 1.02^60 = 3.28103.
    expect(careful.years.map(({ year }) => year)).toEqual([1, 2, 3, 4, 5]);
    expect(careful.years[0].utilisation).toBeCloseTo(0.5 * 1.26824, 5);
    expect(careful.years[4].utilisation).toBeCloseTo(0.5 * 3.28103, 5);
    expect(computeSectorCapacity(places, plans, calm).years).toEqual([]);
  });

  it("counts apart who is cut off, and does not invent a load without known subscribers", () => {
    const capacity = computeSectorCapacity([...placesAt(3, 100), ...placesAt(2, 0)], plans, growing);
    expect(capacity).toMatchObject({ places: 5, cutOff: 2, utilisation: null, contention: null, monthsToFull: null });
    expect(computeSectorCapacity([], plans, calm)).toMatchObject({ downMbps: 0, upMbps: 0, places: 0 });
  });
});
