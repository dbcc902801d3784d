import { fitWindow } from "@fellmark/geodesy";
import { CELL_CLASS } from "@fellmark/sweep";
import { describe, expect, it } from "vitest";
import { NO_DATA } from "../layers/layer-job.ts";
import { findHarm, type ServedArea } from "./harm.ts";

const PLACE = { lon: -30.5, lat: 12.5 };
const plan = (id: string) => ({ id, downMbps: 20, upMbps: 5, oversubscription: 8 });

/** An area of one kind of ground, with a subscriber in its middle and one far away. */
function area(tier: number, sinrDownDb: number | null, sinrUpDb: number | null): ServedArea {
  const window = fitWindow([PLACE], 1000, 12);
  const count = window.width * window.height;
  const layer = (db: number | null) => new Int16Array(count).fill(db === null ? NO_DATA : db * 100);
  const subscriber = { sector: "s", plan: "best" };
  return {
    request: {
      plans: [plan("best"), plan("last")],
      subscribers: [
        { ...subscriber, ...PLACE, id: "near" },
        { ...subscriber, lon: -29, lat: 12.5, id: "far" },
      ],
    },
    coverage: { window },
    cells: { tier: new Uint8Array(count).fill(tier), sinrDown: layer(sinrDownDb), sinrUp: layer(sinrUpDb) },
  };
}

describe("do no harm", () => {
  it.each([
    ["a plan lost", area(1, 20, 20), area(2, 20, 20)],
    ["all plans lost", area(2, 20, 20), area(0, 20, 20)],
    ["more than 3 dB lost down", area(1, 20, 20), area(1, 16.9, 20)],
    ["more than 3 dB lost up alone", area(1, 20, 20), area(1, 25, 16.9)],
    ["the only server lost", area(0, 2, 2), area(0, null, null)],
  ])("counts %s as harm", (_what, before, after) => {
    expect(findHarm(before, after)).toMatchObject({ passes: false, harmed: [{ subscriber: "near" }] });
  });

  it.each([
    ["3 dB less", area(1, 20, 20), area(1, 17, 17)],
    ["a better plan", area(2, 20, 20), area(1, 20, 20)],
    ["never having been reached", area(0, null, null), area(0, null, null)],
  ])("does not count %s", (_what, before, after) => {
    expect(findHarm(before, after)).toMatchObject({ passes: true, harmed: [] });
  });

  it("tells plans and both SINRs of the harmed", () => {
    expect(findHarm(area(1, 20, 20), area(0, 15, 10)).harmed).toEqual([
      { subscriber: "near", planBefore: "best", planAfter: null, sinrDownChangeDb: -5, sinrUpChangeDb: -10 },
    ]);
  });

  it("counts subscribers it cannot judge: outside of the area, or without elevation", () => {
    expect(findHarm(area(1, 20, 20), area(1, 20, 20))).toMatchObject({ subscribers: 2, notJudged: 1 });
    const unknown = area(CELL_CLASS.notKnown, null, null);
    expect(findHarm(unknown, unknown)).toMatchObject({ notJudged: 2, passes: true });
  });
});
