import { findGeodesic, type LonLat } from "@fellmark/geodesy";
import { describe, expect, test } from "vitest";
import type { Answer, PlaceQuestion } from "../place/answer.ts";
import type { ServiceQuestion } from "./service-report.ts";
import { answerServiceability } from "./serviceability.ts";
import { createSubscriberRates } from "./subscriber-rates.ts";
import { createFakeNetwork, createGoodAnswer, createSmallRequest, link } from "./testing/fake-network.ts";

const HERE = { lon: -30.49, lat: 12.51 };

type AnswerBy = (at: LonLat, change: PlaceQuestion) => Answer;

/** Asks a network that answers by a function. */
function ask(answer: AnswerBy, question: Partial<ServiceQuestion> = {}, request = createSmallRequest()) {
  const network = createFakeNetwork(answer, { request });
  const whole = { at: HERE, locationAccuracyM: 0, asOf: "2026-11-25", ...question };
  return { network, result: answerServiceability(network, createSubscriberRates(network), whole) };
}

describe("an answer for people", () => {
  test("has the best sector and two alternates in full, the others in brief, and the level to read", async () => {
    const { links, others } = await ask((at) => createGoodAnswer(at)).result;
    expect(links.map(({ sector }) => sector)).toEqual(["a-n", "a-s", "b-e"]);
    expect(links[1].expected).toEqual({ downDbm: -70, upDbm: -70 });
    expect(others).toEqual([expect.objectContaining({ sector: "b-w", downDbm: -90 })]);
    expect(others[0]).not.toHaveProperty("down");
  });

  test("offers the best plan that holds both ways, and says which way the others lack", async () => {
    const slowUp = (at: LonLat) => createGoodAnswer(at, { plan: "p25", links: [{ ...link("a-n", -75), upMbps: 12 }] });
    const { offer, plans, reason } = await ask(slowUp).result;
    expect(offer).toBe("p25");
    expect(reason).toBe("The line is clear. Plan p100 is met down but not up.");
    // Down alone holds: not sold, and why. Common practice, no source.
    expect(plans.map(({ plan, lacks }) => [plan, lacks])).toEqual([
      ["p100", "up"],
      ["p25", null],
    ]);
  });

  test("offers at the height that it takes, and nothing where a survey comes first", async () => {
    const low: AnswerBy = (at, { heightAglM = 6 }) =>
      heightAglM < 9
        ? createGoodAnswer(at, {
            verdict: "serviceable-at-height",
            leastHeightAglM: 9,
            links: [{ ...link("a-n", -90), downMbps: 0 }],
          })
        : createGoodAnswer(at, { heightAglM });
    expect(await ask(low).result).toMatchObject({
      ...{ verdict: "serviceable-at-height", offer: "p100", mount: { heightAglM: 9, downDbm: -60 } },
    });
    const unsure = (at: LonLat) => createGoodAnswer(at, { verdict: "survey-first" });
    expect(await ask(unsure).result).toMatchObject({ plan: "p100", offer: null, expires: null });
  });

  test("is about the height and the plan that were asked for", async () => {
    const { network, result } = ask((at) => createGoodAnswer(at), { heightAglM: 9, plan: "p100", withProfile: true });
    await result;
    expect(network.asked[0].change).toMatchObject({ heightAglM: 9, plan: "p100", withProfile: true });
  });
});

describe("a pin that may be off", () => {
  const westOnly: AnswerBy = (at) =>
    at.lon < HERE.lon - 1e-6
      ? createGoodAnswer(at)
      : createGoodAnswer(at, { verdict: "not-serviceable", probability: 0.1 });

  test("asks nine points within its circle", async () => {
    const { network, result } = ask((at) => createGoodAnswer(at), { locationAccuracyM: 150, withProfile: true });
    expect((await result).locationAccuracy).toMatchObject({ radiusM: 150, agrees: true, verdicts: { serviceable: 9 } });
    for (const { at } of network.asked.slice(1)) expect(findGeodesic(HERE, at).distanceM).toBeCloseTo(150, 3);
    expect(network.asked.map(({ change }) => change.withProfile)).toEqual([true, ...Array(8).fill(false)]);
  });

  test("comes to a survey where verdicts differ, and names the best point", async () => {
    const { verdict, locationAccuracy, reason, expires } = await ask(westOnly, { locationAccuracyM: 50 }).result;
    expect(verdict).toBe("survey-first");
    expect(locationAccuracy.verdicts).toEqual({ serviceable: 3, "not-serviceable": 6 });
    expect(locationAccuracy.best.at[0]).toBeLessThan(HERE.lon);
    expect(reason).toMatch(
      /^The house lies within 50 m of the point, where verdicts differ \(best: serviceable at -30\.490/,
    );
    expect(expires).toBeNull();
  });

  test("that is exact is one point", async () => {
    const { network, result } = ask(westOnly);
    expect((await result).verdict).toBe("not-serviceable");
    expect(network.asked).toHaveLength(1);
  });
});

describe("a place that no sector reaches", () => {
  const unreached: AnswerBy = (at) =>
    createGoodAnswer(at, { verdict: "not-serviceable", links: [], plan: null, probability: null });

  test("has no offer, no load and no expiry", async () => {
    expect(await ask(unreached).result).toMatchObject({
      ...{ verdict: "not-serviceable", offer: null, links: [], load: null, expires: null, mount: null, warnings: [] },
    });
  });

  test("but would with its coordinates exchanged is told so", async () => {
    const { warnings } = await ask(unreached, { at: { lon: 12.51, lat: -30.49 } }).result;
    expect(warnings).toEqual([
      { code: "coordinates_swapped", pointer: "/place/at", detail: expect.stringContaining("[-30.49, 12.51]") },
    ]);
  });
});

describe("the load of the best sector", () => {
  const subscriber = { sector: "a-n", lon: -30.5, lat: 12.52, plan: "p25" };
  const withSubscribers = (count: number) =>
    createSmallRequest({
      subscribers: Array.from({ length: count }, (_, index) => ({ ...subscriber, id: `u${index}` })),
    });

  test("is not known without subscribers, and then forbids nothing", async () => {
    const { load, plans, offer } = await ask((at) => createGoodAnswer(at)).result;
    expect({ load, fits: plans.map(({ fits }) => fits), offer }).toEqual({
      load: null,
      fits: [null, null],
      offer: "p100",
    });
  });

  test("leaves the smaller plan where the larger one would fill it, and none where it is full", async () => {
    // By hand: n x 25 / 8 at the busy hour of 120 Mbit/s down: n = 28: 0.729; + 25: 0.755; + 100: 0.833 > 0.8.
    const free = await ask((at) => createGoodAnswer(at), {}, withSubscribers(28)).result;
    expect(free.load?.utilisation).toBeCloseTo(0.729, 3);
    expect(free.offer).toBe("p25");
    const full = await ask((at) => createGoodAnswer(at), {}, withSubscribers(31)).result;
    expect(full).toMatchObject({ offer: null, plan: "p100" });
    expect(full.reason).toContain("No plan can be promised: the sector has no room");
  });

  test("asks each subscriber once, at its own height and with its own CPE", async () => {
    const [first] = withSubscribers(1).subscribers;
    const request = { ...withSubscribers(1), subscribers: [{ ...first, heightAglM: 9, cpe: "big" }] };
    const big = { ...request.cpe, powerDbm: 24 };
    const network = createFakeNetwork((at) => createGoodAnswer(at), { request, cpes: { big } });
    const rates = createSubscriberRates(network);
    for (let time = 0; time < 3; time++) await rates.ofSector("a-n");
    expect(network.asked).toEqual([
      { at: { lon: -30.5, lat: 12.52 }, change: { sectors: ["a-n"], heightAglM: 9, cpe: big } },
    ]);
  });
});

describe("the expiry", () => {
  const amongTrees: AnswerBy = (at, { heightAglM = 6 }) =>
    createGoodAnswer(at, {
      heightAglM,
      verdict: heightAglM < 9 ? "serviceable-at-height" : "serviceable",
      leastHeightAglM: heightAglM < 9 ? 9 : null,
      probability: heightAglM < 9 ? 0.6 : 0.95,
      clutter: { known: true, mast: [], cpe: { kind: "trees", heightM: 8, isMeasured: false } },
    });

  test("is three years in the open", async () => {
    expect((await ask((at) => createGoodAnswer(at)).result).expires).toEqual({ on: "2029-11-25", because: "age" });
  });

  test("is the year in which trees reach the mount, asked at the height that it needs", async () => {
    const { network, result } = ask(amongTrees);
    const { expires, mount, reason } = await result;
    expect(network.asked.at(-1)?.change).toEqual({ heightAglM: 9 });
    expect(mount).toMatchObject({ sector: "a-n", heightAglM: 9, azimuthDeg: 180, downDbm: -60, upDbm: -60 });
    expect(expires?.because).toBe("trees");
    expect(reason).toContain(`Trees may grow into the path by ${expires?.on}: mount the CPE higher.`);
    expect(String(expires?.on) >= "2027-11-25" && String(expires?.on) < "2028-11-25").toBe(true);
  });
});
