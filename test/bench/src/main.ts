import { writeFile } from "node:fs/promises";
import { availableParallelism, loadavg } from "node:os";
import { resolve } from "node:path";
import { parseArgs } from "node:util";
import { answerBench } from "./answer.ts";
import { antennaBench } from "./antenna.ts";
import { batchBench } from "./batch.ts";
import { endToEndBench } from "./end-to-end.ts";
import { fortySitesBench } from "./forty-sites.ts";
import { layerTilesBench } from "./layer-tiles.ts";
import { loadBench } from "./load.ts";
import { networkBench } from "./network.ts";
import { importBench, nearestBench, searchBench } from "./premises.ts";
import type { Bench, BenchOutput } from "./report.ts";
import { sweepBench } from "./sweep.ts";
import { reportTable } from "./table.ts";
import { tiersBench } from "./tiers.ts";

const BENCHES: Record<string, Bench> = {
  sweep: sweepBench,
  tiers: tiersBench,
  "layer-tiles": layerTilesBench,
  "end-to-end": endToEndBench,
  network: networkBench,
  load: loadBench,
  "forty-sites": fortySitesBench,
  antenna: antennaBench,
  answer: answerBench,
  batch: batchBench,
  search: searchBench,
  nearest: nearestBench,
  import: importBench,
};

const SEED = 1;
const callerDir = process.env.INIT_CWD ?? process.cwd();

/** Exit codes: 0 ok, 1 a correctness check failed or, with --strict, a target was missed, 2 bad input. */
async function main(words: string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args: words,
    options: { json: { type: "string" }, terrain: { type: "string" }, strict: { type: "boolean" } },
    allowPositionals: true,
  });
  const names = positionals.length > 0 ? positionals : Object.keys(BENCHES);
  const unknown = names.filter((name) => !(name in BENCHES));
  if (unknown.length > 0) {
    process.stderr.write(`no bench ${unknown.join(", ")}; there are: ${Object.keys(BENCHES).join(", ")}\n`);
    return 2;
  }
  const terrainDir = resolve(
    callerDir,
    values.terrain ?? new URL("../../../../shared/terrain/dem", import.meta.url).pathname,
  );
  const load1 = loadavg()[0];
  const output: BenchOutput = { results: [], skipped: [] };
  for (const name of names) {
    const { results, skipped } = await BENCHES[name]({ terrainDir, seed: SEED });
    output.results.push(...results);
    output.skipped.push(...skipped);
  }
  const right = output.results.every(({ check }) => check?.pass !== false);
  const ok = right && (values.strict !== true || output.results.every(({ pass }) => pass));
  const host = { node: process.version, cpus: availableParallelism(), load1, seed: SEED };
  const report = { version: 1, bench: names.join(" "), ...host, ok, ...output };
  process.stdout.write(
    `${reportTable(output)}\nload before ${load1.toFixed(2)}, ${host.cpus} cpus, node ${host.node}\n`,
  );
  if (values.json !== undefined)
    await writeFile(resolve(callerDir, values.json), `${JSON.stringify(report, null, 1)}\n`);
  return ok ? 0 : 1;
}

process.exitCode = await main(process.argv.slice(2));
