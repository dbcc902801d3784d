import { describe, expect, test } from "vitest";
import { type Installation, installReport } from "./install.ts";
import { createFakeNetwork, createGoodAnswer, link } from "./testing/fake-network.ts";

const HERE = { lon: -30.49, lat: 12.51 };

/** A network where every metre of mount height below 6 m costs 3 dB. */
const network = () =>
  createFakeNetwork((at, { heightAglM = 6 }) => {
    const lowDb = 3 * Math.max(0, 6 - heightAglM);
    return createGoodAnswer(at, {
      links: [link("a-n", -60 - lowDb), link("a-s", -70 - lowDb), link("b-e", -95 - lowDb)],
    });
  });

const report = (change: Partial<Installation>, by = network()) =>
  installReport(by, { at: HERE, sector: "a-n", measured: { signalDbm: -60 }, ...change });

describe("expected against measured", () => {
  // 6 dB: common practice, no source.
  test.each([
    [-60, "pass", 0],
    [-66, "pass", -6],
    [-66.1, "fail", -6.1],
    [-54, "pass", 6],
    [-53.9, "fail", 6.1],
  ])("%d dBm where -60 dBm are expected: %s", async (signalDbm, result, residualDb) => {
    const judged = await report({ measured: { signalDbm } });
    expect(judged).toMatchObject({ result, acceptanceDb: 6, expected: { signalDbm: -60, sinrDb: 30 } });
    expect(judged.residualDb).toBeCloseTo(residualDb, 9);
  });

  test("takes two chains by the mean of their powers", async () => {
    // By hand: 10 log10((10^-5.9 + 10^-6.1) / 2) = -59.89 dBm.
    const { residualDb } = await report({ measured: { chainsDbm: [-59, -61] } });
    expect(residualDb).toBeCloseTo(0.11, 2);
  });

  test("finds the sector that is received in truth before anything else", async () => {
    const { causes, reason } = await report({ measured: { signalDbm: -71 } });
    expect(causes[0]).toMatchObject({ cause: "wrong-sector", supported: true, unexplainedDb: 1 });
    expect(reason).toBe("the level is 11.0 dB lower than expected: most likely the CPE is connected to another sector");
  });

  test("finds the height that the mount has in truth", async () => {
    const { causes } = await report({ measured: { signalDbm: -75 } });
    expect(causes[0]).toMatchObject({ cause: "height", unexplainedDb: 0 });
    expect(causes[0].evidence).toContain("at 1 m instead of 6 m");
  });

  test("fails a level that passes where the SINR does not", async () => {
    const { result, residualDb, sinrResidualDb, causes } = await report({ measured: { signalDbm: -60, sinrDb: 15 } });
    expect({ result, residualDb, sinrResidualDb }).toEqual({ result: "fail", residualDb: 0, sinrResidualDb: -15 });
    expect(causes.map(({ cause }) => cause)).toEqual(["interference"]);
  });

  test("gives the reading as a link to learn from, passed or not", async () => {
    for (const signalDbm of [-62, -75]) {
      const { link: reading } = await report({ measured: { signalDbm } });
      expect(reading).toEqual({ id: "a-n -30.49 12.51", sector: "a-n", ...HERE, heightAglM: 6, signalDbm });
    }
  });

  test("asks for other sectors and heights only where something is off", async () => {
    const quiet = network();
    await report({}, quiet);
    expect(quiet.asked).toHaveLength(1);
  });

  test("is not known where the sector does not reach", async () => {
    const judged = await report({ sector: "b-w" });
    expect(judged).toMatchObject({ result: "not-known", expected: null, residualDb: null, causes: [] });
  });

  test("refuses a sector that there is not", async () => {
    await expect(report({ sector: "nowhere" })).rejects.toThrow("/sector");
  });
});
