import { execFile } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { buildIslandRequest, writeIsland } from "@fellmark/island";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

const MAIN = fileURLToPath(new URL("../../dist/main.js", import.meta.url));

let folder: TempDir;

beforeAll(async () => {
  folder = createTempDir();
  await writeIsland(folder.path);
});
afterAll(() => folder.remove());

/** Advice for the demo's island in small discs. */
function writeRequest(change: object): void {
  const base = { ...buildIslandRequest(), quality: "preview", area: { radiusM: 2000, cellM: 30 } };
  const channels = [5740, 5760, 5780, 5180].map((centreMhz) => ({ centreMhz, widthMhz: 20 }));
  writeFileSync(join(folder.path, "advice.json"), JSON.stringify({ version: 1, base, channels, ...change }));
}

function fellmark(...words: string[]): Promise<{ code: number; stdout: string; stderr: string }> {
  return new Promise((resolve) => {
    const options = { env: { ...process.env, INIT_CWD: folder.path } };
    const child = execFile(process.execPath, [MAIN, ...words], options, (_error, stdout, stderr) => {
      resolve({ code: child.exitCode ?? -1, stdout, stderr });
    });
  });
}

describe("fellmark advise", () => {
  it("prints the channel plan, rankings, refusals and capacities, and writes summary.json", async () => {
    writeRequest({});
    const { code, stdout } = await fellmark("advise", "advice.json", "--terrain", ".", "--out", "out");
    expect(code).toBe(0);
    for (const { id } of buildIslandRequest().sectors) expect(stdout).toContain(`${id}, the other sectors as today`);
    expect(stdout).toMatch(/^refused: 5180 \(20\)$/m);
    expect(stdout).toMatch(/^Capacity of each sector, Mbit\/s down \/ up$/m);
    const { sectors } = JSON.parse(readFileSync(join(folder.path, "out", "summary.json"), "utf8"));
    expect(sectors.map((sector: { id: string }) => sector.id)).toEqual(
      buildIslandRequest().sectors.map(({ id }) => id),
    );
  });

  it("points to a sector that does not exist, with exit code 2", async () => {
    writeRequest({ sectors: ["nowhere"] });
    const { code, stderr } = await fellmark("advise", "advice.json", "--terrain", ".", "--out", "out");
    expect(code).toBe(2);
    expect(JSON.parse(stderr).errors[0].pointer).toBe("/sectors/0");
  });
});
