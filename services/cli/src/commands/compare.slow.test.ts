import { execFile } from "node:child_process";
import { readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { buildAntennaComparison, writeIsland } from "@fellmark/island";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

const MAIN = fileURLToPath(new URL("../../dist/main.js", import.meta.url));

let folder: TempDir;

beforeAll(async () => {
  folder = createTempDir();
  await writeIsland(folder.path);
});
afterAll(() => folder.remove());

/** The demo's question, in a small disc. */
function writeRequest(change: object): void {
  const { base, ...question } = buildAntennaComparison();
  const small = { ...base, quality: "preview", area: { radiusM: 2000, cellM: 30 } };
  writeFileSync(join(folder.path, "comparison.json"), JSON.stringify({ ...question, base: small, ...change }));
}

function fellmark(...words: string[]): Promise<{ code: number; stdout: string; stderr: string }> {
  return new Promise((resolve) => {
    const options = { env: { ...process.env, INIT_CWD: folder.path } };
    const child = execFile(process.execPath, [MAIN, ...words], options, (_error, stdout, stderr) => {
      resolve({ code: child.exitCode ?? -1, stdout, stderr });
    });
  });
}

describe("fellmark compare", () => {
  it("prints areas, noise, and that no subscribers were given, and writes its five files", async () => {
    writeRequest({});
    const { code, stdout } = await fellmark("compare", "comparison.json", "--terrain", ".", "--out", "out");
    expect(code).toBe(0);
    for (const { id } of buildAntennaComparison().base.plans) expect(stdout).toMatch(new RegExp(`^${id} .*km2$`, "m"));
    expect(stdout).toMatch(/^west-top-0 .*-80\.\d dBm -> -88\.\d dBm/m);
    expect(stdout).toContain("the effect on existing customers was not checked");
    const files = ["after.png", "before.png", "change.geojson", "change.png", "summary.json"];
    expect(readdirSync(join(folder.path, "out")).sort()).toEqual(files);
  });

  it("points to a change of a sector that does not exist, with exit code 2", async () => {
    writeRequest({ changes: [{ kind: "turn", sector: "nowhere", azimuthDeg: 5 }] });
    const { code, stderr } = await fellmark("compare", "comparison.json", "--terrain", ".", "--out", "out");
    expect(code).toBe(2);
    expect(JSON.parse(stderr).errors[0].pointer).toBe("/changes/0/sector");
  });
});
