import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { createTempDir, type TempDir, watchLines } from "@fellmark/testkit";
import { findGeometryFaults } from "@fellmark/tiers";
import { afterEach, beforeEach, expect, test } from "vitest";

const MAIN = fileURLToPath(new URL("../../services/cli/dist/main.js", import.meta.url));

/** The drawn profiles of the three addresses. */
const PROFILES = ["kiln-row", "old-net-loft", "upper-fold"];

/** A busy machine with two cores may take this long for the whole island. */
const WHOLE_RUN_MS = 300_000;

let folder: TempDir;
let child: ChildProcess | undefined;
beforeEach(() => {
  folder = createTempDir("fellmark-demo-test-");
});
afterEach(async () => {
  if (child?.exitCode === null && child.signalCode === null) {
    child.kill("SIGTERM");
    await once(child, "exit");
  }
  folder.remove();
});

/** Starts the demo with its temporary files in our folder too. */
function startDemo(...words: string[]) {
  const started = spawn(process.execPath, [MAIN, "demo", ...words], {
    env: { ...process.env, INIT_CWD: folder.path, TMPDIR: folder.path },
    stdio: ["ignore", "pipe", "pipe"],
  });
  child = started;
  const ended = once(started, "close");
  return { started, ended, output: watchLines(started.stdout), errors: watchLines(started.stderr) };
}

test("the demo computes the island over HTTP, writes what it found and ends", { timeout: WHOLE_RUN_MS }, async () => {
  const { ended, output } = startDemo("--once", "--out", "result");
  expect(await ended).toEqual([0, null]);

  const out = join(folder.path, "result");
  const pictures = [
    "antennas.svg",
    "change.png",
    "channel-change.png",
    "channel.png",
    "horn.png",
    "map.png",
    "patches.png",
  ];
  const profiles = PROFILES.flatMap((name) => [`${name}.png`, `${name}.svg`]);
  expect(readdirSync(out).sort()).toEqual([...pictures, ...profiles, "summary.json", "tiers.geojson"].sort());
  const summary = JSON.parse(readFileSync(join(out, "summary.json"), "utf8"));
  expect(summary).toMatchObject({ version: 1, notKnownShare: 0 });
  expect(summary.sectors).toHaveLength(4);
  for (const { areaKm2 } of summary.tiers) expect(areaKm2).toBeGreaterThan(1);
  expect(findGeometryFaults(JSON.parse(readFileSync(join(out, "tiers.geojson"), "utf8")))).toEqual([]);
  expect(readFileSync(join(out, "map.png")).subarray(0, 8)).toEqual(Buffer.from("\x89PNG\r\n\x1a\n", "latin1"));

  for (const name of PROFILES) expect(readFileSync(join(out, `${name}.svg`), "utf8")).toMatch(/^<svg .*<\/svg>\n$/s);

  const text = output.lines.join("\n");
  for (const verdict of ["serviceable ", "serviceable at height", "not serviceable"])
    expect(text).toContain(`  ${verdict}`);
  for (const address of ["4 Kiln Row", "Old Net Loft", "11 Upper Fold"]) expect(text).toContain(address);
  // A change of channel is compared first, the antenna second.
  expect(text.indexOf("channel 5745 to 5825 MHz")).toBeGreaterThan(0);
  expect(text.indexOf("horn-45 in place of patch-40")).toBeGreaterThan(text.indexOf("channel 5745 to 5825 MHz"));
  for (const file of ["tilejson.json", "style.json", "style.json?token="])
    expect(text).toMatch(new RegExp(`http://127.0.0.1:\\d+/v1/layers/plans/latest/${file.replace(/[.?]/g, "\\$&")}`));
  expect(readdirSync(folder.path)).toEqual(["result"]);
});

test.each(["SIGINT", "SIGTERM"] as const)(
  "%s in the middle ends it and its server, and leaves nothing",
  async (signal) => {
    const { started, ended, errors } = startDemo();
    await errors.waitFor(/% .*running/, 60_000);
    started.kill(signal);
    // "close" comes only once the server, which holds the same stderr, has ended too.
    expect(await ended).toEqual([0, null]);
    expect(readdirSync(folder.path)).toEqual([]);
  },
);
