import { createSeededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { computeWoodedPathLossDb, joinLossesDb } from "./joined-losses.ts";

describe("two paths to one antenna", () => {
  it("add their powers: equal ones gain 10 log10(2) = 3.0103 dB, a weak one next to nothing", () => {
    expect(joinLossesDb(20, 20)).toBeCloseTo(20 - 3.0103, 4);
    expect(joinLossesDb(44.41, 32.53)).toBeCloseTo(32.26, 2);
    expect(joinLossesDb(10, 60)).toBeCloseTo(9.99996, 5);
    expect(joinLossesDb(12, Number.POSITIVE_INFINITY)).toBe(12);
  });

  it("are never a gain, and the order does not matter", () => {
    expect(joinLossesDb(0, 0)).toBe(0);
    expect(joinLossesDb(2, 2)).toBe(0);
    expect(joinLossesDb(7, 19)).toBe(joinLossesDb(19, 7));
  });

  it("are not known where one of them is not", () => {
    expect(joinLossesDb(Number.NaN, 3)).toBeNaN();
  });
});

describe("a path over and through trees", () => {
  it("costs what the ground costs where no tree is in the ray, and what the tops cost where the ray is stopped", () => {
    expect(computeWoodedPathLossDb({ overTreesDb: 15, withoutTreesDb: 15, throughTreesDb: 0 })).toBe(15);
    expect(computeWoodedPathLossDb({ overTreesDb: 40, withoutTreesDb: 18, throughTreesDb: Infinity })).toBe(40);
  });

  it("adds the ground's loss to the ray inside: 10 dB of ground and 20 of leaves beside 30 over the tops", () => {
    const lossDb = computeWoodedPathLossDb({ overTreesDb: 30, withoutTreesDb: 10, throughTreesDb: 20 });
    expect(lossDb).toBeCloseTo(30 - 3.0103, 4);
  });

  it("lies between the loss without trees and the loss over them, and never falls with the length in leaves", () => {
    const random = createSeededRandom(11);
    for (let i = 0; i < 500; i++) {
      const withoutTreesDb = 30 * random();
      const overTreesDb = withoutTreesDb + 30 * random();
      const throughTreesDb = 60 * random();
      const lossDb = computeWoodedPathLossDb({ overTreesDb, withoutTreesDb, throughTreesDb });
      expect(lossDb).toBeGreaterThanOrEqual(withoutTreesDb);
      expect(lossDb).toBeLessThanOrEqual(overTreesDb);
      const deeperDb = computeWoodedPathLossDb({ overTreesDb, withoutTreesDb, throughTreesDb: throughTreesDb + 1 });
      expect(deeperDb).toBeGreaterThanOrEqual(lossDb);
    }
  });
});
