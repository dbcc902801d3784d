import { mkdir, open, readdir, readFile, rename, rm, stat } from "node:fs/promises";
import path from "node:path";
import type { LeadLine } from "./lead-answer.ts";

/** Work of a batch that nobody took up again for so long is given up. */
const ABANDONED_MS = 7 * 86_400_000;

/** Nothing else that may lie beside them is touched. */
const JOB_FOLDER = /^j[0-9a-f]{64}$/;

/** Finished lines of a batch in files of their own, each whole or absent, so that an interrupted batch goes on behind them. */
export interface ChunkFiles {
  read(index: number): Promise<LeadLine[] | undefined>;
  write(index: number, lines: LeadLine[]): Promise<void>;
  remove(): Promise<void>;
}

/** Opens the folder of one batch, named by its job, and removes those beside it that were abandoned. */
export async function openChunkFiles(dir: string): Promise<ChunkFiles> {
  await mkdir(dir, { recursive: true });
  await removeAbandoned(path.dirname(dir));
  const fileOf = (index: number) => path.join(dir, `${String(index).padStart(6, "0")}.json`);
  return {
    async read(index) {
      const text = await readFile(fileOf(index), "utf8").catch(ifAbsent);
      return text === undefined ? undefined : (JSON.parse(text) as LeadLine[]);
    },
    async write(index, lines) {
      const partial = `${fileOf(index)}.partial`;
      const handle = await open(partial, "w");
      try {
        await handle.writeFile(JSON.stringify(lines));
        await handle.sync();
      } finally {
        await handle.close();
      }
      await rename(partial, fileOf(index));
    },
    remove: () => rm(dir, { recursive: true, force: true }),
  };
}

function ifAbsent(error: NodeJS.ErrnoException): undefined {
  if (error.code !== "ENOENT") throw error;
}

async function removeAbandoned(parent: string): Promise<void> {
  for (const name of await readdir(parent)) {
    if (!JOB_FOLDER.test(name)) continue;
    const folder = path.join(parent, name);
    const found = await stat(folder).catch(ifAbsent);
    if (found && Date.now() - found.mtimeMs > ABANDONED_MS) await rm(folder, { recursive: true, force: true });
  }
}
