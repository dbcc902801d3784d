import { findGeodesicPoint } from "@fellmark/geodesy";
import { describe, expect, it } from "vitest";
import {
  buildQuietScene,
  buildRowRequest,
  createHills,
  createSyntheticGround,
  drawPlaces,
  MAST,
} from "../scene/testing/hilly-scene.ts";
import { answerInRange, answerPoint } from "./answer.ts";

const term = (terms: { term: string; db: number }[], name: string) => terms.find((one) => one.term === name)?.db ?? 0;

describe("the budget of every link", () => {
  const ground = createSyntheticGround(createHills(4));
  const validation = { applied: true, reason: "", leaveOneOut: null, blocks: null };
  const pathClass = { offsetDb: 2, slopeDbPerDecade: 5, sigmaDb: 5, links: 40 };
  const calibration = {
    version: "c0123456789abcdef",
    referenceKm: 3,
    classes: { clear: pathClass, blocked: { ...pathClass, offsetDb: -3 } },
    sectors: { "m0-0": { biasDb: 1.5, links: 12 } },
    influenceDb: 1,
    validation,
  };

  it.each<[string, object]>([
    ["open land", {}],
    ["trees around both ends", { clutter: { class: "trees", heightM: 40 } }],
    ["trees without leaves", { clutter: { class: "trees", heightM: 12 }, foliage: "leaf-off" }],
    ["built-up country by its statistics", { clutter: { class: "statistical" } }],
    ["trees on the way", { clutter: { class: "trees" }, method: "path-clutter" }],
    ["a calibration by own links", { calibration }],
    ["rain", { fading: { rule: "p530", rainMmPerHour: 40 } }],
  ])("sums to its totals within 0.001 dB: %s", async (_, model) => {
    const request = buildRowRequest({ masts: 2, model: { clutter: { class: "open", heightM: 0 }, ...model } });
    const scene = buildQuietScene(request, ground);
    let links = 0;
    for (const at of drawPlaces(40, 7000, 6)) {
      for (const { down, up, sinrDownDb, sinrUpDb } of (await answerPoint(scene, at)).links) {
        for (const [terms, sinrDb] of [
          [down, sinrDownDb],
          [up, sinrUpDb],
        ] as const) {
          const names = terms.map((one) => one.term);
          const upTo = (name: string) => terms.slice(0, names.indexOf(name)).reduce((sum, { db }) => sum + db, 0);
          expect(upTo("signal")).toBeCloseTo(term(terms, "signal"), 9);
          const fromSignal = ["signal", "noise", "interference"].reduce((sum, name) => sum + term(terms, name), 0);
          expect(fromSignal).toBeCloseTo(term(terms, "sinr"), 9);
          expect(term(terms, "sinr")).toBeCloseTo(sinrDb, 9);
        }
        links++;
      }
    }
    expect(links).toBeGreaterThan(100);
  });

  it("names a calibration and its version, also where it is nought", async () => {
    const request = buildRowRequest({ model: { clutter: { class: "open", heightM: 0 }, calibration } });
    const answer = await answerPoint(
      buildQuietScene(
        request,
        createSyntheticGround(() => 10),
      ),
      findGeodesicPoint(MAST, 0, 3000),
    );
    const own = answer.links.find(({ sector }) => sector === "m0-0");
    // 2 dB of the class at the reference distance of 3 km, 1.5 dB of the sector.
    expect(term(own?.down ?? [], "calibration")).toBeCloseTo(-3.5, 3);
    expect(answer.inputs.calibration).toBe(calibration.version);
  });
});

describe("what is not known", () => {
  const plain = (lon: number, lat: number) => (lat < MAST.lat ? Number.NaN : 10 + 0 * lon);

  it("is never a no: without ground under the place, or on the way", async () => {
    const scene = buildQuietScene(buildRowRequest(), createSyntheticGround(plain));
    const answer = await answerPoint(scene, findGeodesicPoint(MAST, 180, 3000));
    expect([answer.verdict, answer.links]).toEqual(["not-known", []]);
    expect((await answerPoint(scene, findGeodesicPoint(MAST, 20, 3000))).verdict).toBe("serviceable");
  });

  it("counts as free space where it lies to an interferer", async () => {
    const hidden = (lon: number, lat: number) =>
      lon > MAST.lon + 0.02 && lon < MAST.lon + 0.03 ? Number.NaN : 10 + 0 * lat;
    const sinrDb = async (heightAt: typeof hidden) => {
      const scene = buildQuietScene(buildRowRequest({ masts: 2, apartM: 9000 }), createSyntheticGround(heightAt));
      return (await answerPoint(scene, findGeodesicPoint(MAST, 30, 2000))).links[0].sinrDownDb;
    };
    expect(Math.abs((await sinrDb(hidden)) - (await sinrDb(() => 10)))).toBeLessThan(0.3);
  });

  it("of the clutter asks for a survey", async () => {
    const scene = buildQuietScene(
      buildRowRequest({ model: { clutter: { class: "unknown" } } }),
      createSyntheticGround(() => 10),
    );
    const answer = await answerPoint(scene, findGeodesicPoint(MAST, 20, 2000));
    expect(answer.verdict).toBe("survey-first");
    expect(answer.clutter).toMatchObject({ known: false, cpe: null });
    expect(answer.reason).toMatch(/ Trees and buildings here are not known\. Survey first: service is likely\.$/);
  });

  it("is nothing where no site is in range", () => {
    const scene = buildQuietScene(
      buildRowRequest(),
      createSyntheticGround(() => 10),
    );
    expect(answerInRange(scene, findGeodesicPoint(MAST, 20, 9000), {})).toBeNull();
  });
});

describe("a question", () => {
  const scene = buildQuietScene(
    buildRowRequest({ masts: 2 }),
    createSyntheticGround(() => 10),
  );
  const at = findGeodesicPoint(MAST, 60, 2500);

  it("about another CPE is answered for that CPE", async () => {
    const signal = async (cpe?: object) =>
      term((await answerPoint(scene, at, cpe ? { cpe } : {})).links[0].up, "signal");
    expect((await signal({ powerDbm: 14 })) - (await signal())).toBeCloseTo(-3, 9);
  });

  it("about some sectors tells these alone", async () => {
    const { links } = await answerPoint(scene, at, { sectors: ["m1-240", "m0-0"] });
    expect(links.map(({ sector }) => sector).sort()).toEqual(["m0-0", "m1-240"]);
  });

  it("about a plan is judged by it", async () => {
    const far = findGeodesicPoint(MAST, 40, 7500);
    const [fast, basic] = [
      await answerPoint(scene, far, { plan: "fast" }),
      await answerPoint(scene, far, { plan: "basic" }),
    ];
    expect(fast.probability).toBeLessThan(basic.probability ?? 0);
    await expect(answerPoint(scene, far, { plan: "none" })).rejects.toThrow("there is no plan");
  });

  it("for the profile gets it, as it is drawn", async () => {
    const { profile, links } = await answerPoint(scene, at, { withProfile: true });
    expect(profile?.distanceM.at(-1)).toBeCloseTo(links[0].distanceM, 6);
    expect(profile?.groundAmslM).toHaveLength(profile?.distanceM.length ?? 0);
  });
});

it("tells both seasons where leaves decide", async () => {
  const request = buildRowRequest({ model: { clutter: { class: "trees", heightM: 8 } } });
  // Leaves around an antenna count to 3 GHz, to which the law of its end is stated.
  const sectors = request.sectors.map((sector) => ({ ...sector, channel: { ...sector.channel, centreMhz: 2437 } }));
  const scene = buildQuietScene(
    { ...request, sectors },
    createSyntheticGround(() => 10),
  );
  const answers = await Promise.all(drawPlaces(60, 7000, 8).map((at) => answerPoint(scene, at)));
  const told = answers.flatMap(({ foliage }) => foliage ?? []);
  expect(told.length).toBeGreaterThan(0);
  expect(told.length).toBeLessThan(60);
  for (const { leafOn, leafOff } of told) expect(leafOff.probability).toBeGreaterThan(leafOn.probability);
});

describe("verdict, chance, reason and offer", () => {
  /** Hills of a seed, of which some places see the mast, some from a taller mount, and some not at all. */
  const scene = buildQuietScene(buildRowRequest({ masts: 2 }), createSyntheticGround(createHills(11)));

  it("are about one case", async () => {
    const answers = await Promise.all(drawPlaces(150, 7800, 21).map((at) => answerPoint(scene, at)));
    const counts = new Map<string, number>();
    for (const answer of answers) {
      const { verdict, considered, probability, reason, likelihood, leastHeightAglM, heightAglM, offers } = answer;
      counts.set(verdict, (counts.get(verdict) ?? 0) + 1);
      expect(considered).not.toBeNull();
      if (!considered) continue;
      expect(probability).toBe(considered.probability);
      const chance = `${Math.min(99, Math.round(100 * considered.probability))} % chance at ${considered.heightAglM} m`;
      expect(reason.startsWith(`${considered.plan} (`)).toBe(true);
      expect(reason).toContain(chance);
      expect(reason.includes("Survey first")).toBe(verdict === "survey-first");
      expect(likelihood).toBe(
        verdict !== "survey-first" ? null : considered.probability >= 0.5 ? "likely" : "unlikely",
      );
      const isTaller = verdict === "serviceable-at-height" || verdict === "survey-first";
      expect(leastHeightAglM).toBe(isTaller ? considered.heightAglM : null);
      if (!isTaller) expect(considered.heightAglM).toBe(heightAglM);
      if (verdict === "serviceable-at-height") expect(offers).toContainEqual(considered);
    }
    expect([...counts.keys()].sort()).toEqual([
      "not-serviceable",
      "serviceable",
      "serviceable-at-height",
      "survey-first",
    ]);
  });

  it("tell the rates now beside the planned ones, which are never higher", async () => {
    const answers = await Promise.all(drawPlaces(60, 7800, 22).map((at) => answerPoint(scene, at)));
    const links = answers.flatMap((answer) => answer.links);
    for (const { downMbps, downNowMbps, upMbps, upNowMbps } of links) {
      expect(downNowMbps).toBeGreaterThanOrEqual(downMbps);
      expect(upNowMbps).toBeGreaterThanOrEqual(upMbps);
    }
    expect(links.some(({ downMbps, downNowMbps }) => downMbps === 0 && downNowMbps > 0)).toBe(true);
  });
});
