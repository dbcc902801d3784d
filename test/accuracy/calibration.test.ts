import { computeCalibrationDb, fitCalibration, type MeasuredLink, PATH_CLASSES } from "@fellmark/calibration";
import { computeComplementaryNormal } from "@fellmark/propagation";
import { createSeededNormal, createSeededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";

const SIGMA_DB: Record<string, number> = { clear: 4, grazing: 6, blocked: 9 };

/** A place as the model sees it, and whether the plan turned out to hold there. */
interface Outcome {
  pathClass: string;
  /** Predicted margin over what the plan and fading need, dB. */
  spareDb: number;
  succeeds: boolean;
}

/** Places of every class with margins from hopeless to plenty; the truth errs by the class's spread. */
function seededOutcomes(seed: number, count: number): Outcome[] {
  const [uniform, normal] = [createSeededRandom(seed), createSeededNormal(seed + 1)];
  return Array.from({ length: count }, (_, i) => {
    const pathClass = PATH_CLASSES[i % PATH_CLASSES.length];
    const spareDb = 50 * uniform() - 20;
    return { pathClass, spareDb, succeeds: spareDb + SIGMA_DB[pathClass] * normal() > 0 };
  });
}

/** Share that succeeds of the places whose probability is said to lie near 0.9 (see probability.test.ts). */
function shareAtEdge(outcomes: readonly Outcome[], sigmaDb: Record<string, number>): number {
  const edge = outcomes.filter(({ pathClass, spareDb }) => {
    const said = computeComplementaryNormal(-spareDb / sigmaDb[pathClass]);
    return said >= 0.88 && said <= 0.92;
  });
  return edge.filter(({ succeeds }) => succeeds).length / edge.length;
}

describe("the spread and the calibration that measured links give", () => {
  /** Terms by which the model of the invented region is wrong, dB of loss that it lacks. */
  const LACKING_DB: Record<string, number> = { clear: 3, grazing: -5, blocked: 8 };

  function seededLinks(seed: number, count: number): MeasuredLink[] {
    const [uniform, normal] = [createSeededRandom(seed), createSeededNormal(seed + 1)];
    return Array.from({ length: count }, (_, i) => {
      const pathClass = PATH_CLASSES[i % PATH_CLASSES.length];
      const [eastM, northM] = [8000 * uniform(), 8000 * uniform()];
      const errorDb = LACKING_DB[pathClass] + SIGMA_DB[pathClass] * normal();
      return {
        id: String(i),
        sector: `sector-${i % 7}`,
        class: pathClass,
        distanceM: Math.hypot(eastM, northM),
        eastM,
        northM,
        predictedDbm: -60,
        measuredDbm: -60 - errorDb,
      };
    });
  }

  /** New places of the same region, judged with what the links taught. */
  function edgeWith(links: MeasuredLink[], places: number): number {
    const { calibration } = fitCalibration(links);
    const sigmaDb = Object.fromEntries(
      PATH_CLASSES.map((name) => [name, calibration.classes[name]?.sigmaDb ?? SIGMA_DB[name]]),
    );
    const corrected = seededOutcomes(9, places).map((one, i) => {
      const calibratedDb = computeCalibrationDb(calibration, `sector-${i % 7}`, one.pathClass, 4000);
      return { ...one, spareDb: one.spareDb + LACKING_DB[one.pathClass] - calibratedDb };
    });
    return shareAtEdge(corrected, sigmaDb);
  }

  function edgesOfRegions(regions: number, links: number): number[] {
    return Array.from({ length: regions }, (_, region) => edgeWith(seededLinks(100 * region, links), 8000));
  }

  it("make the verdict true at its edge: 90 +- 2 % over regions with 1,500 links", () => {
    expect(Math.abs(mean(edgesOfRegions(8, 1500)) - 0.9)).toBeLessThan(0.02);
  });

  it("err to the careful side with few: with 90 links at most two regions of twenty promise more than they keep", () => {
    const edges = edgesOfRegions(20, 90);
    expect(edges.filter((edge) => edge < 0.88).length).toBeLessThanOrEqual(2);
    expect(mean(edges)).toBeGreaterThan(0.9);
    expect(mean(edges)).toBeLessThan(0.96);
  });
});

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
