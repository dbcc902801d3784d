import { expect, it } from "vitest";
import {
  buildQuietScene,
  buildRowRequest,
  createHills,
  createSyntheticGround,
  drawPlaces,
} from "../scene/testing/hilly-scene.ts";
import { answerPoint } from "./answer.ts";
import { listHeights } from "./verdict.ts";

const CPE = { antenna: "cpe", radio: "r", heightAglM: 4, maxHeightAglM: 12, powerDbm: 17 };

it("tells the least height that trying every height finds, at 500 places and for every plan", async () => {
  const scene = buildQuietScene(buildRowRequest({ masts: 3, cpe: CPE }), createSyntheticGround(createHills(3)));
  const found = new Map<string, number>();
  for (const at of drawPlaces(500, 7000, 5)) {
    const answer = await answerPoint(scene, at);
    const alone = await Promise.all(
      listHeights(4, 12).map((heightAglM) =>
        answerPoint(scene, at, { heightAglM, cpe: { maxHeightAglM: heightAglM } }),
      ),
    );
    for (const { plan, leastHeightAglM } of answer.plans) {
      let least: number | null = null;
      for (const { heightAglM, plans } of alone.toReversed()) {
        const probability = plans.find((one) => one.plan === plan)?.probability ?? 0;
        if (probability < 0.9) break;
        least = heightAglM;
      }
      expect(leastHeightAglM).toBe(least);
      const kind = least === null ? "none" : least === 4 ? "at once" : "taller";
      found.set(`${plan} ${kind}`, (found.get(`${plan} ${kind}`) ?? 0) + 1);
    }
    // A survey is told the least height with the chance worth one.
    if (!answer.verdict.startsWith("serviceable")) continue;
    const cheapest = answer.plans[answer.plans.length - 1];
    // For a survey it is the least height from which service is likely (50 %), else from which a survey is worth it (40 %).
    const firstFrom = (least: number) =>
      alone.find(({ plans }) => (plans.at(-1)?.probability ?? 0) >= least)?.heightAglM ?? null;
    const forSurvey = answer.verdict === "survey-first" ? (firstFrom(0.5) ?? firstFrom(0.4)) : null;
    const least = cheapest.leastHeightAglM ?? forSurvey;
    expect(answer.leastHeightAglM).toBe(cheapest.probability >= 0.9 ? null : least);
  }
  console.info(`500 places: ${JSON.stringify(Object.fromEntries(found))}`);
  expect(Math.min(found.get("basic taller") ?? 0, found.get("fast taller") ?? 0)).toBeGreaterThan(5);
});
