import { type Compute, createCompute } from "@fellmark/compute";
import { type ErrorRecord, InputError, toErrorRecord } from "@fellmark/units";
import { advise } from "./advise.ts";
import { answer } from "./answer.ts";
import { antenna } from "./antenna.ts";
import { batch } from "./batch.ts";
import { correct } from "./calibrate.ts";
import { compare } from "./compare.ts";
import type { CliConfig } from "./config.ts";
import { cover } from "./cover.ts";
import { demo } from "./demo.ts";
import { island } from "./island.ts";
import { picture } from "./picture.ts";
import { premisesImport, premisesSearch } from "./premises.ts";
import { terrainCheck } from "./terrain-check.ts";

type Command = (words: string[], config: CliConfig, compute: Compute) => Promise<void>;

const COMMANDS: Record<string, { run: Command; usage: string }> = {
  cover: { run: cover, usage: "cover REQUEST.json --terrain DIR --out DIR [--threads N]" },
  answer: {
    run: answer,
    usage:
      "answer REQUEST.json --at=LON,LAT (--terrain DIR | --profile FILE) [--height M] [--plan ID] [--json FILE] [--svg FILE] [--png FILE]",
  },
  advise: { run: advise, usage: "advise REQUEST.json --terrain DIR --out DIR [--threads N]" },
  antenna: {
    run: antenna,
    usage: "antenna FILE [--against FILE] [--frequency GHZ[,GHZ]] [--window WIDTH,FROM,TO] [--svg FILE] [--json FILE]",
  },
  batch: {
    run: batch,
    usage:
      "batch LEADS --request REQUEST.json --terrain DIR --out DIR [--map ROLE=COLUMN,...] [--crs EPSG] [--plan ID] [--height M] [--radius M] [--db DIR]",
  },
  correct: { run: correct, usage: "correct NETWORK.json --terrain DIR [--links FILE] [--radius M] [--json FILE]" },
  compare: { run: compare, usage: "compare REQUEST.json --terrain DIR --out DIR [--threads N]" },
  "premises import": {
    run: premisesImport,
    usage:
      "premises import FILE [--map ROLE=COLUMN,...] [--crs EPSG] [--quality NAME] [--delimiter SIGN] [--area=W,S,E,N] [--keep-others] [--db DIR] [--json FILE]",
  },
  "premises search": { run: premisesSearch, usage: "premises search (TEXT | --near=LON,LAT) [--db DIR]" },
  "terrain check": { run: terrainCheck, usage: "terrain check DIR" },
  demo: { run: demo, usage: "demo [--once] [--out DIR]" },
  island: { run: island, usage: "island DIR" },
  picture: { run: picture, usage: "picture FILE" },
};

const USAGE = Object.values(COMMANDS)
  .map(({ usage }) => `  fellmark ${usage}`)
  .join("\n");

/** Exit codes: 0 ok, 1 a check failed, 2 bad input, 3 terrain unusable. */
export async function runCli(words: string[], config: CliConfig): Promise<number> {
  const compute = createCompute();
  try {
    const count = Object.hasOwn(COMMANDS, words.slice(0, 2).join(" ")) ? 2 : 1;
    const name = words.slice(0, count).join(" ");
    const command = Object.hasOwn(COMMANDS, name) ? COMMANDS[name] : undefined;
    if (!command) throw new InputError([{ pointer: "", detail: `no command "${name}"; there are:\n${USAGE}` }]);
    await command.run(words.slice(count), config, compute);
    return 0;
  } catch (error) {
    const record = toErrorRecord(error);
    process.stderr.write(`${JSON.stringify(problemOf(record), null, 1)}\n`);
    return exitCodeOf(record);
  } finally {
    await compute.close();
  }
}

/** RFC 9457 problem+json. */
function problemOf({ code, detail, problems }: ErrorRecord) {
  return {
    type: "about:blank",
    title: code.replaceAll("_", " "),
    code,
    detail,
    ...(problems ? { errors: problems } : {}),
  };
}

const TERRAIN_CODES = /^(terrain_|raster_|mast_not_known$|profile_gap$)/;

function exitCodeOf({ code, problems }: ErrorRecord): number {
  if (problems) return 2;
  return TERRAIN_CODES.test(code) ? 3 : 1;
}
