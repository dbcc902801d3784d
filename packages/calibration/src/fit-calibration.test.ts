import { createSeededNormal, createSeededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import {
  computeCalibrationDb,
  fitCalibration,
  type MeasuredLink,
  type OwnDataCalibration,
  PATH_CLASSES,
} from "./index.ts";

const SIGMA_DB: Record<string, number> = { clear: 4, grazing: 6, blocked: 9 };

interface World {
  sectors: number;
  /** 1: the model is out as far as the priors expect; 0: it is right. */
  wrongness: number;
}

/** Links of an invented region whose model is wrong by known terms; `trueDb` is the loss that it lacks. */
function seededLinks(
  seed: number,
  count: number,
  { sectors, wrongness }: World,
): (MeasuredLink & { trueDb: number })[] {
  const uniform = createSeededRandom(seed);
  const normal = createSeededNormal(seed + 1_000_000);
  const terms = PATH_CLASSES.map(() => ({ offset: 6 * wrongness * normal(), slope: 5 * wrongness * normal() }));
  const biases = Array.from({ length: sectors }, () => 3 * wrongness * normal());
  return Array.from({ length: count }, (_, i) => {
    const pathClass = Math.floor(3 * uniform());
    const sector = Math.floor(sectors * uniform());
    const distanceM = 400 * 10 ** (1.4 * uniform());
    const bearing = 2 * Math.PI * uniform();
    const { offset, slope } = terms[pathClass];
    const trueDb = offset + slope * Math.log10(distanceM / 2000) + biases[sector];
    const predictedDbm = -45 - 20 * uniform();
    return {
      id: `link-${i}`,
      sector: `sector-${sector}`,
      class: PATH_CLASSES[pathClass],
      distanceM,
      eastM: distanceM * Math.sin(bearing),
      northM: distanceM * Math.cos(bearing),
      predictedDbm,
      measuredDbm: predictedDbm - trueDb - SIGMA_DB[PATH_CLASSES[pathClass]] * normal(),
      trueDb,
    };
  });
}

function rms(values: readonly number[]): number {
  return Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
}

/** The calibration as if it had been shown to help. */
function asApplied(calibration: OwnDataCalibration): OwnDataCalibration {
  return { ...calibration, validation: { ...calibration.validation, applied: true } };
}

function calibrationOf(calibration: OwnDataCalibration, { sector, class: pathClass, distanceM }: MeasuredLink): number {
  return computeCalibrationDb(calibration, sector, pathClass, distanceM);
}

const plain: MeasuredLink = {
  id: "a",
  sector: "north",
  class: "clear",
  distanceM: 2000,
  eastM: 0,
  northM: 0,
  predictedDbm: -60,
  measuredDbm: -64,
};

describe("the calibration", () => {
  it("comes near a known truth, from 2,000 links within 0.7 dB and from 200 within 2", () => {
    for (const [count, withinDb] of [
      [2000, 0.7],
      [200, 2],
    ]) {
      const links = seededLinks(7, count, { sectors: 6, wrongness: 1 });
      const { calibration } = fitCalibration(links);
      expect(calibration.validation.applied).toBe(true);
      const beforeDb = rms(links.map(({ trueDb }) => trueDb));
      const afterDb = rms(links.map((link) => link.trueDb - calibrationOf(calibration, link)));
      expect(beforeDb).toBeGreaterThan(4);
      expect(afterDb).toBeLessThan(withinDb);
    }
  });

  // The mean of n normal measurements, with variance 16, of a normal quantity of variance 36 + 9 about 0 (offset and
  // bias are one and the same here): n 45 / (n 45 + 16) of their mean. Textbook conjugate prior.
  it.each([1, 2, 5, 20])("of a constant error keeps n / (n + k): %i links", (count) => {
    const links = Array.from({ length: count }, (_, i) => ({ ...plain, id: `${i}` }));
    const { calibration } = fitCalibration(links);
    expect(calibrationOf(asApplied(calibration), plain)).toBeCloseTo((4 * count * 45) / (count * 45 + 16), 2);
    expect(calibrationOf(calibration, plain)).toBe(0);
  });

  it("is the same whatever the order of the rows, and named by what went in", () => {
    const links = seededLinks(3, 60, { sectors: 4, wrongness: 1 });
    const { calibration } = fitCalibration(links);
    expect(fitCalibration(links.toReversed()).calibration).toEqual(calibration);
    expect(calibration.version).toMatch(/^c[0-9a-f]{16}$/);
    const other = links.with(5, { ...links[5], measuredDbm: links[5].measuredDbm + 0.1 });
    expect(fitCalibration(other).calibration.version).not.toBe(calibration.version);
    expect(fitCalibration(links, { blockM: 500 }).calibration.version).not.toBe(calibration.version);
  });

  it("adds nothing where nothing was measured, or no calibration is given", () => {
    const calibration = asApplied(fitCalibration([plain]).calibration);
    expect(computeCalibrationDb(null, "north", "clear", 2000)).toBe(0);
    expect(computeCalibrationDb(calibration, "south", "blocked", 2000)).toBe(0);
    expect(computeCalibrationDb(calibration, "constructor", "__proto__", 2000)).toBe(0);
    expect(computeCalibrationDb(calibration, "north", "blocked", 2000)).toBe(calibration.sectors.north.biasDb);
  });

  it("lets slopes reach a decade and no further", () => {
    const links = seededLinks(5, 300, { sectors: 2, wrongness: 1 });
    const calibration = asApplied(fitCalibration(links).calibration);
    const farthestM = calibration.referenceKm * 10_000;
    const at = (distanceM: number) => computeCalibrationDb(calibration, "sector-0", "grazing", distanceM);
    expect(at(farthestM * 5)).toBe(at(farthestM));
    expect(at(1)).toBe(at(farthestM / 100));
    expect(at(farthestM)).not.toBe(at(farthestM / 2));
  });
});

describe("whether it counts", () => {
  it("hardly ever does where the model is right, and does where it is as wrong as expected", () => {
    const share = (wrongness: number, count: number) => {
      const seeds = Array.from({ length: 40 }, (_, k) => 100 * k + count);
      const fits = seeds.map((seed) => fitCalibration(seededLinks(seed, count, { sectors: 5, wrongness })));
      return fits.filter(({ calibration }) => calibration.validation.applied).length / seeds.length;
    };
    expect(share(0, 40)).toBeLessThanOrEqual(0.1);
    expect(share(1, 40)).toBeGreaterThanOrEqual(0.75);
  });

  it("takes more than a few links, in more than a few squares of the ground", () => {
    const reasonOf = (links: MeasuredLink[]) => fitCalibration(links).calibration.validation;
    const many = (count: number, apartM: number) =>
      Array.from({ length: count }, (_, i) => ({ ...plain, id: `${i}`, eastM: i * apartM }));
    expect(reasonOf([])).toMatchObject({ applied: false, reason: "no link was measured" });
    expect(reasonOf(many(9, 900)).reason).toContain("9 links are too few");
    expect(reasonOf(many(30, 99))).toMatchObject({ applied: false, blocks: null });
    expect(reasonOf(many(30, 99)).reason).toContain("3 squares of 1000 m, not enough to block");
    expect(reasonOf(many(31, 100))).toMatchObject({ applied: true, blocks: { blocks: 4, blockM: 1000 } });
  });

  it("is refused where neighbours help each other and other neighbourhoods lose", () => {
    const links = Array.from({ length: 60 }, (_, i) => {
      const village = i % 6;
      const excessDb = village % 2 === 0 ? 9 : -9;
      return { ...plain, id: `${i}`, sector: `${village}`, eastM: 5000 * village, measuredDbm: -60 - excessDb };
    });
    const { validation } = fitCalibration(links).calibration;
    expect(validation.leaveOneOut?.afterRmseDb).toBeLessThan(7);
    expect(validation.blocks?.gain).toBeLessThan(0);
    expect(validation).toMatchObject({ applied: false });
    expect(validation.reason).toContain("hurts in squares");
  });
});

describe("one wrong link", () => {
  const worlds = [
    { seed: 11, count: 12, sectors: 3 },
    { seed: 12, count: 40, sectors: 5 },
    { seed: 13, count: 150, sectors: 8 },
  ];

  it.each(worlds)("never moves a calibration by more than is stated: $count links", ({ seed, count, sectors }) => {
    const links = seededLinks(seed, count, { sectors, wrongness: 1 });
    const { calibration } = fitCalibration(links);
    let worstDb = 0;
    for (let i = 0; i < count; i += Math.ceil(count / 5)) {
      for (const byDb of [10, -10, 45, -45]) {
        const moved = links.with(i, { ...links[i], measuredDbm: links[i].measuredDbm + byDb });
        const { calibration: other, rejected } = fitCalibration(moved);
        expect(rejected).toEqual([]);
        worstDb = Math.max(worstDb, greatestChangeDb(calibration, other));
      }
    }
    const impossible = fitCalibration(links.with(0, { ...links[0], measuredDbm: links[0].measuredDbm + 1000 }));
    expect(impossible.rejected).toMatchObject([{ row: 0, field: "measuredDbm" }]);
    worstDb = Math.max(worstDb, greatestChangeDb(calibration, impossible.calibration));
    expect(worstDb).toBeLessThanOrEqual(calibration.influenceDb);
    expect(worstDb).toBeGreaterThan(calibration.influenceDb / 3);
  });

  it("counts for less the more links there are", () => {
    const influence = worlds.map(({ seed, count, sectors }) => {
      return fitCalibration(seededLinks(seed, count, { sectors, wrongness: 1 })).calibration.influenceDb;
    });
    expect(influence).toEqual(influence.toSorted((a, b) => b - a));
    expect(influence[2]).toBeLessThan(5);
  });
});

/** Over every class and sector, and distances from 10 m to 100 km. */
function greatestChangeDb(a: OwnDataCalibration, b: OwnDataCalibration): number {
  let greatestDb = 0;
  for (const sector of [...Object.keys(a.sectors), "not measured"]) {
    for (const pathClass of PATH_CLASSES) {
      for (const distanceM of [10, 500, 1000, 2000, 5000, 100_000]) {
        const of = (calibration: OwnDataCalibration) =>
          computeCalibrationDb(asApplied(calibration), sector, pathClass, distanceM);
        greatestDb = Math.max(greatestDb, Math.abs(of(a) - of(b)));
      }
    }
  }
  return greatestDb;
}

it("refuses more rows than it can judge in good time", () => {
  expect(() => fitCalibration(new Array(20_001).fill(plain))).toThrow("20001 links");
});
