import { describe, expect, it } from "vitest";
import { type CapacityPlace, computeSectorCapacity } from "./sector-capacity.ts";

const plans = [
  { id: "p100", downMbps: 100, upMbps: 20 },
  { id: "p25", downMbps: 25, upMbps: 5 },
];

const placesAt = (count: number, downMbps: number, plan = 0): CapacityPlace[] =>
  Array.from({ length: count }, () => ({ plan, downMbps, upMbps: downMbps / 2 }));

describe("capacity of a sector", () => {
  // Two worked figures of the trade: equal data for all, N / sum(1 / r).
  it("is the harmonic mean of the rates: 8 x 100 and 2 x 20 give 55.6, 9 x 100 and 1 x 6.5 give 41", () => {
    expect(computeSectorCapacity([...placesAt(8, 100), ...placesAt(2, 20)], plans).downMbps).toBeCloseTo(55.6, 1);
    expect(computeSectorCapacity([...placesAt(9, 100), ...placesAt(1, 6.5)], plans).downMbps).toBeCloseTo(41, 0);
  });

  it("weighs places by what their plans sell", () => {
    const { downMbps } = computeSectorCapacity([...placesAt(1, 100, 1), ...placesAt(1, 50, 2)], plans);
    expect(downMbps).toBeCloseTo(125 / (100 / 100 + 25 / 50), 9);
  });

  it("tells how full it is, who still fits and when it is full", () => {
    const capacity = computeSectorCapacity(placesAt(4, 100, 1), plans, 0.02);
    // Down 400 / 8 = 50 of 100 Mbit/s; up 80 / 8 = 10 of 50.
    expect(capacity.utilisation).toBeCloseTo(0.5, 12);
    expect(capacity.contention).toBeCloseTo(4, 12);
    expect(capacity.room).toEqual([
      { plan: "p100", subscribers: 2 },
      { plan: "p25", subscribers: 9 },
    ]);
    expect(0.5 * 1.02 ** (capacity.monthsToFull as number)).toBeCloseTo(0.8, 12);
    expect(computeSectorCapacity(placesAt(4, 100, 1), plans).monthsToFull).toBeNull();
    expect(computeSectorCapacity(placesAt(8, 100, 1), plans).monthsToFull).toBe(0);
  });

  it("counts apart who is cut off, and does not invent a load where nobody is known", () => {
    const capacity = computeSectorCapacity([...placesAt(3, 100), ...placesAt(2, 0)], plans, 0.02);
    expect(capacity).toMatchObject({ places: 5, cutOff: 2, utilisation: null, contention: null, monthsToFull: null });
    expect(computeSectorCapacity([], plans)).toMatchObject({ downMbps: 0, upMbps: 0, places: 0 });
  });
});
