import { type Answer, answerFromProfile } from "@fellmark/answers";
import { parseCoverageRequest } from "@fellmark/network";
import { computeInverseComplementaryNormal } from "@fellmark/propagation";
import { createSeededNormal, createSeededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";

/** Spread of the model by class, dB: here it is the truth. */
const SIGMA_DB = { clear: 4, grazing: 6, blocked: 9 };

/** One sector, one CPE and one plan. */
const REQUEST = parseCoverageRequest({
  version: 1,
  name: "seeded places",
  area: { radiusM: 20_000, cellM: 60 },
  model: { clutter: { class: "open", heightM: 0 } },
  sites: [{ id: "mast", lon: 10, lat: 45 }],
  antennas: [{ id: "any", kind: "isotropic", gainDbi: 16 }],
  radios: [{ id: "ax", table: "802.11ax" }],
  sectors: [
    {
      ...{ id: "one", site: "mast", antenna: "any", radio: "ax", heightAglM: 30, azimuthDeg: 0, downtiltDeg: 0 },
      ...{ channel: { centreMhz: 5600, widthMhz: 20 }, powerDbm: 19 },
    },
  ],
  cpe: { antenna: "any", radio: "ax", heightAglM: 6, powerDbm: 19 },
  plans: [{ id: "only", downMbps: 25, upMbps: 5 }],
});

interface Place {
  distanceKm: number;
  /** Height of a ridge half way, m. */
  ridgeM: number;
}

/** The product's answer with both ends stronger by `strongerDb`, keeping `confidence` in hand for the model's error. */
function answerOf({ distanceKm, ridgeM }: Place, strongerDb: number, confidence: number): Answer {
  const request = {
    ...REQUEST,
    model: { ...REQUEST.model, confidence },
    sectors: REQUEST.sectors.map((sector) => ({ ...sector, powerDbm: 19 + strongerDb })),
    cpe: { ...REQUEST.cpe, powerDbm: 19 + strongerDb },
  };
  const shares = Array.from({ length: 41 }, (_, i) => i / 40);
  const groundAmslM = shares.map((share) => ridgeM * Math.max(0, 1 - Math.abs(share - 0.5) * 10));
  return answerFromProfile(request, { distanceKm: shares.map((share) => share * distanceKm), groundAmslM }, null);
}

/** What was said of a place, by what spread its truth errs, and whether the plan held in the end. */
interface Outcome {
  sigmaDb: number;
  said: number;
  verdict: string;
  holds: boolean;
}

/**
 * Places of every class, with powers that put their sigmas in hand evenly between two limits. Each is asked twice: for
 * its probability, and then in a truth where both directions are weaker by an error of `factor` times the stated
 * spread and nothing is kept in hand for it, so that the plan holds or does not.
 */
function outcomesOf(seed: number, count: number, [least, most]: [number, number], factor = 1): Outcome[] {
  const [uniform, normal] = [createSeededRandom(seed), createSeededNormal(seed + 1)];
  return Array.from({ length: count }, () => {
    const place = { distanceKm: 1 + 9 * uniform(), ridgeM: 8 + 16 * uniform() };
    const asItIs = answerOf(place, 0, 0.9);
    const sigmaDb = SIGMA_DB[asItIs.links[0].class];
    const strongerDb = sigmaDb * (least + (most - least) * uniform() - sigmasInHand(asItIs));
    const { probability, verdict } = answerOf(place, strongerDb, 0.9);
    const { plan } = answerOf(place, strongerDb - factor * sigmaDb * normal(), 0.5);
    return { sigmaDb, said: probability ?? Number.NaN, verdict, holds: plan !== null };
  });
}

function sigmasInHand({ probability }: Answer): number {
  return -computeInverseComplementaryNormal(Math.min(Math.max(probability ?? 0, 1e-15), 1 - 1e-15));
}

function shareThatHolds(outcomes: readonly Outcome[]): number {
  return outcomes.filter(({ holds }) => holds).length / outcomes.length;
}

/**
 * What "serviceable at 0.9" promises. P = Phi((margin - fade) / sigma) is the chance of one place. The places
 * with P >= 0.9 do not succeed in 90 of 100 cases but in as many as their P average to, often 98; so a model that is
 * far too sure of itself passes "at least 90", and "90 +- 2 of all" fails a perfect one. Two statements can fail both
 * ways, and both are asked here:
 *   at the edge: of the places with P near 0.9, 90 +- 2 in 100 succeed: the verdict changes where it says it does;
 *   in all: the serviceable set succeeds as often as its P average to, within 2 in 100.
 * Truths that err by a third less or by half more must break the first: else the check checks nothing.
 */
describe("the probability in an answer keeps its word", () => {
  const EDGE: [number, number] = [1.17, 1.41];
  const isAtEdge = ({ said }: Outcome) => said >= 0.88 && said <= 0.92;

  it("at the edge of the verdict, in every class", () => {
    const edge = outcomesOf(1, 3000, EDGE).filter(isAtEdge);
    for (const spread of Object.values(SIGMA_DB)) {
      const ofClass = edge.filter(({ sigmaDb }) => sigmaDb === spread);
      expect(ofClass.length).toBeGreaterThan(500);
      expect(Math.abs(shareThatHolds(ofClass) - 0.9)).toBeLessThan(0.02);
    }
  });

  it.each([0.67, 1.5])("and is caught breaking it where the truth errs by %f times the spread", (factor) => {
    const share = shareThatHolds(outcomesOf(3, 700, EDGE, factor).filter(isAtEdge));
    expect(Math.sign(share - 0.9)).toBe(Math.sign(1 - factor));
    expect(Math.abs(share - 0.9)).toBeGreaterThan(0.04);
  });

  it("in all: what is called serviceable has P of 0.9 and more, and holds as often as P says", () => {
    const outcomes = outcomesOf(5, 1500, [-2, 3]);
    for (const { said, verdict } of outcomes) expect(verdict === "serviceable").toBe(said >= 0.9);
    const served = outcomes.filter(({ verdict }) => verdict === "serviceable");
    expect(Math.abs(shareThatHolds(served) - mean(served.map(({ said }) => said)))).toBeLessThan(0.02);
    expect(Math.abs(shareThatHolds(outcomes) - mean(outcomes.map(({ said }) => said)))).toBeLessThan(0.02);
  });
});

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
