import { spawnSync } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { createTempDir, needsShared, sharedDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { readDataFolder } from "./src/data-files.ts";
import { standardsReport } from "./src/report.ts";
import { checkFolder } from "./src/standards.ts";

describe.skipIf(!needsShared())("the published check values of ../shared/standards", () => {
  const report = standardsReport(checkFolder(readDataFolder(join(sharedDir, "standards"))));
  const table = (file: string, quantity: string) =>
    report.tables.find((row) => row.file === file && row.quantity === quantity);

  it("all agree within what their sources allow", () => {
    expect(report.tables.filter((row) => row.failed > 0)).toEqual([]);
    expect(report.ok).toBe(true);
  });

  it("hold the delta-Bullington method on every published case, with either speed of light", () => {
    const [published, exact] = ["Ld, lambda = 0.2998/f", "Ld, exact speed of light"].map((quantity) =>
      table("delta_bullington.json", quantity),
    );
    expect(published?.n).toBe(290);
    expect(published?.worst.abs).toBeLessThan(1e-6);
    expect(exact?.n).toBe(290);
    expect(exact?.worst.abs).toBeLessThan(1e-3);
    expect(table("P.452-18/results/*", "Ld50")?.n).toBe(385);
    expect(table("P.1812-6/results/*", "Ld50 (dB)")?.n).toBe(48);
    for (const quantity of ["Ld50, exact speed of light", "Ldsph, exact speed of light"]) {
      expect(table("P.452-18/results/*", quantity)?.worst.abs).toBeLessThan(1e-3);
    }
  });

  it("hold the complete P.1812-6 on every published run, and leave none of its figures out", () => {
    for (const quantity of ["Lb (dB)", "Ep (dBuV/m)", "Lb, exact speed of light", "Ep, exact speed of light"]) {
      expect(table("P.1812-6/results/*", quantity)?.n).toBe(48);
      expect(table("P.1812-6/results/*", quantity)?.worst.abs).toBeLessThan(0.01);
    }
    expect(report.notChecked.filter((note) => note.file === "P.1812-6/results/*")).toEqual([]);
  });

  it("leave out no row of checks.json, and of clutter and rain only rows that ask for an error", () => {
    expect(report.notChecked.filter((note) => note.file === "checks.json")).toEqual([]);
    const ofModels = report.notChecked.filter((note) => /^P\.(838-3|2108-1)\/.*\.csv$/.test(note.file));
    expect(ofModels.map((note) => [note.file.replace(/.*\//, ""), note.n])).toEqual([
      ["AeronauticalStatisticalModelTestData.csv", 1],
      ["HeightGainTerminalCorrectionModelTestData.csv", 5],
      ["TerrestrialStatisticalModelTestData.csv", 5],
    ]);
    expect(table("P.838-3/ITURP838-3_rain_specific_attenuation.csv", "gamma_r")?.n).toBe(64);
    expect(table("P.2108-1/SG3_workbook_section3_2.csv", "clutter loss, P.2108-1 3.2")?.n).toBe(260);
  });

  it("name every row that is not checked, with a reason", () => {
    for (const note of report.notChecked) expect(note.reason.length).toBeGreaterThan(10);
  });
});

describe("a folder of check files", () => {
  let folder: TempDir;
  beforeEach(() => {
    folder = createTempDir();
  });
  afterEach(() => folder.remove());

  const row = { id: "fspl", quantity: "free-space loss", inputs: { f_GHz: 2.4, d_km: 1 }, tolerance: 1e-6 };
  const write = (name: string, content: unknown) => writeFileSync(join(folder.path, name), JSON.stringify(content));
  const reportOf = () => standardsReport(checkFolder(readDataFolder(folder.path)));

  it("is checked by the form of its files, whatever their names", () => {
    mkdirSync(join(folder.path, "deep"));
    write("deep/anything.json", [{ ...row, expected: 100.052008 }]);
    expect(reportOf()).toMatchObject({ ok: true, tables: [{ file: "deep/anything.json", n: 1, failed: 0 }] });
  });

  it("fails on one wrong value and shows it", () => {
    write("checks.json", [
      { ...row, expected: 100.052008 },
      { ...row, id: "wrong", expected: 100.06 },
    ]);
    const { ok, tables } = reportOf();
    expect(ok).toBe(false);
    expect(tables[0]).toMatchObject({ n: 2, failed: 1, worst: { id: "wrong", expected: 100.06 } });
  });

  it("fails on a row that the product refuses, and on one without an input", () => {
    const gas = { ...row, quantity: "inverse complementary cumulative normal", expected: 1, inputs: { p_percent: 0 } };
    write("checks.json", [gas, { ...row, inputs: {}, expected: 100 }]);
    expect(reportOf().tables.map((table) => table.failed)).toEqual([1, 1]);
  });

  it("reads lists, values that do not exist, and names that end in the figures of a row", () => {
    write("checks.json", [
      {
        ...row,
        quantity: "binomial array N=3",
        inputs: { weights: [1, 2, 1] },
        expected: [[1, 2, 1], "AF=cos^2(pi/2 sin theta)"],
      },
      {
        ...row,
        quantity: "uniform broadside array",
        inputs: { N: 2, d_over_lambda: 0.5 },
        expected: { first_sidelobe_dB: null },
      },
      {
        ...row,
        quantity: "uniform broadside array",
        inputs: { N: 4, d_over_lambda: 0.5 },
        expected: { first_sidelobe_dB: null },
      },
    ]);
    const { tables, notChecked } = reportOf();
    expect(notChecked).toEqual([]);
    expect(tables.map((table) => table.failed)).toEqual([0, 0, 0, 0, 1]);
  });

  it("is not good where nothing was checked; what it holds is named", () => {
    write("checks.json", [{ ...row, quantity: "phase of the moon", expected: 1 }]);
    write("notes.json", { a: 1 });
    const { ok, tables, notChecked } = reportOf();
    expect({ ok, tables }).toEqual({ ok: false, tables: [] });
    expect(notChecked.map((note) => note.quantity)).toEqual(["phase of the moon", "all"]);
  });

  it("ends the command with 0, 1 or 2", () => {
    const main = fileURLToPath(new URL("./dist/main.js", import.meta.url));
    const run = () => spawnSync(process.execPath, [main, "--data", folder.path], { encoding: "utf8" });
    expect(run().status).toBe(1);
    write("checks.json", [{ ...row, expected: 100.052008 }]);
    expect(run().status).toBe(0);
    writeFileSync(join(folder.path, "broken.json"), "{");
    const broken = run();
    expect(broken.status).toBe(2);
    expect(JSON.parse(broken.stderr)).toMatchObject({ title: "Bad input", errors: [{ pointer: "/broken.json" }] });
  });
});
