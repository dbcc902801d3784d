import { createSeededRandom } from "@fellmark/testkit";
import { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { POWER_RULES } from "./power-rule-rows.ts";
import { findPermittedPower } from "./power-rules.ts";

const sector = { powerDbm: 40, widthMhz: 20, centreMhz: 5800, gainDbi: 17, lossDb: 0 };

describe("permitted power", () => {
  it("is what is asked for without a rule, or under every limit", () => {
    expect(findPermittedPower({ ...sector, rule: null })).toEqual({ powerDbm: 40, binding: null, eirpBackOffDb: 0 });
    const modest = findPermittedPower({ ...sector, powerDbm: 12, rule: "us-5725-5850-ptmp" });
    expect(modest).toEqual({ powerDbm: 12, binding: null, eirpBackOffDb: 0 });
  });

  it("lets 16 dBi have 20 dBm and 17 dBi only 19 (47 CFR 15.407(a)(3), 36 dBm EIRP)", () => {
    const rule = "us-5725-5850-ptmp";
    expect(findPermittedPower({ ...sector, rule })).toEqual({ powerDbm: 19, binding: "eirp", eirpBackOffDb: 21 });
    expect(findPermittedPower({ ...sector, rule, gainDbi: 16 }).powerDbm).toBe(20);
    expect(findPermittedPower({ ...sector, rule, lossDb: 1.5 }).powerDbm).toBe(20.5);
    expect(findPermittedPower({ ...sector, rule, gainDbi: 3 })).toMatchObject({ powerDbm: 30, binding: "conducted" });
    expect(findPermittedPower({ ...sector, rule: "us-5725-5850-ptp", gainDbi: 30 }).powerDbm).toBe(30);
  });

  it("turns 23 dBm/MHz into 30, 33 and 36 dBm EIRP on 5, 10 and 20 MHz (ECC/REC(06)04)", () => {
    const eirp = (widthMhz: number) =>
      findPermittedPower({ ...sector, widthMhz, rule: "etsi-5725-5875" }).powerDbm + sector.gainDbi;
    expect(eirp(5)).toBeCloseTo(30, 1);
    expect(eirp(10)).toBeCloseTo(33, 1);
    expect(eirp(20)).toBeCloseTo(36, 1);
    const narrow = findPermittedPower({ ...sector, widthMhz: 10, rule: "etsi-5725-5875" });
    expect(narrow.binding).toBe("psd-eirp");
    expect(findPermittedPower({ ...sector, widthMhz: 40, rule: "etsi-5725-5875" }).binding).toBe("eirp");
  });

  it("refuses an unknown rule and a channel outside the band, pointing at the field", () => {
    const fault = (change: object) => {
      try {
        findPermittedPower({ ...sector, rule: "us-5725-5850-ptmp", ...change }, "/sectors/3");
      } catch (error) {
        return (error as InputError).problems[0].pointer;
      }
      return null;
    };
    expect(fault({ rule: "nowhere" })).toBe("/sectors/3/rule");
    expect(fault({ centreMhz: 5600 })).toBe("/sectors/3/channel");
    expect(fault({ centreMhz: 5845 })).toBe("/sectors/3/channel");
    expect(fault({ centreMhz: 5840 })).toBeNull();
    expect(() => findPermittedPower({ ...sector, rule: "nowhere" })).toThrow(InputError);
  });

  it("takes 1 dB for 3 dB of gain over 6 dBi from a fixed link at 2.4 GHz (47 CFR 15.247(c)(1), from memory)", () => {
    const link = { ...sector, rule: "us-2400-ptp", centreMhz: 2437, gainDbi: 24 };
    expect(findPermittedPower(link)).toMatchObject({ powerDbm: 24, binding: "antenna-gain" });
  });

  it("limits the EIRP upward: 21 dBm above 30 degrees (47 CFR 15.407(a)(1)(i))", () => {
    const outdoor = { ...sector, rule: "us-5150-5250-outdoor", centreMhz: 5200 };
    const upward = (gainAt30Dbi: number) => findPermittedPower({ ...outdoor, gainAboveDbi: () => gainAt30Dbi });
    expect(upward(5)).toMatchObject({ powerDbm: 16, binding: "elevation-mask" });
    expect(upward(-10)).toMatchObject({ powerDbm: 19, binding: "eirp" });
    expect(findPermittedPower(outdoor)).toMatchObject({ powerDbm: 4, binding: "elevation-mask" });
  });

  it("lets a narrow channel between radars have 11 dBm and its width (47 CFR 15.407(a)(2), from memory)", () => {
    const narrow = { ...sector, rule: "us-5470-5725", centreMhz: 5600, widthMhz: 10, gainDbi: 0 };
    expect(findPermittedPower(narrow)).toMatchObject({ powerDbm: 21, binding: "conducted" });
  });

  it("moves the two kinds of limited sector as it should when the feeder loses more", () => {
    const random = createSeededRandom(5);
    for (let trial = 0; trial < 200; trial++) {
      const rule = POWER_RULES[Math.floor(random() * POWER_RULES.length)];
      const centreMhz = (rule.bandMhz[0] + rule.bandMhz[1]) / 2;
      const [gainDbi, lossDb, moreDb] = [30 * random(), 5 * random(), 3 * random()];
      const at = (loss: number) =>
        findPermittedPower({ ...sector, widthMhz: 10, rule: rule.id, centreMhz, gainDbi, lossDb: loss });
      const [before, after] = [at(lossDb), at(lossDb + moreDb)];
      const eirpFall = before.powerDbm - lossDb - (after.powerDbm - lossDb - moreDb);
      expect(eirpFall).toBeGreaterThanOrEqual(-1e-9);
      expect(eirpFall).toBeLessThanOrEqual(moreDb + 1e-9);
      if (after.binding === "eirp" || after.binding === "psd-eirp") expect(eirpFall).toBeCloseTo(0, 9);
      if (before.binding === "conducted" || before.binding === "psd") expect(eirpFall).toBeCloseTo(moreDb, 9);
    }
  });
});

it("says of each rule whose text was read where it was read", () => {
  const read = POWER_RULES.filter(({ verified }) => verified);
  expect(read.map(({ id }) => id)).toEqual(["us-5150-5250-outdoor", "us-5150-5250-ptp"]);
  for (const { source } of read) expect(source).toMatch(/^47 CFR 15\.407\(a\)\(1\)\(i+\), read /);
});
