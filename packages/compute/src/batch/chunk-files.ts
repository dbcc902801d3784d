import { randomUUID } from "node:crypto";
import { mkdir, open, readFile, rename } from "node:fs/promises";
import path from "node:path";
import type { LeadLine } from "./lead-answer.ts";

/** Finished lines of a batch in files of their own, each whole or absent, so that an interrupted batch goes on behind them. */
export interface ChunkFiles {
  read(index: number): Promise<LeadLine[] | undefined>;
  write(index: number, lines: LeadLine[]): Promise<void>;
}

/** Opens the folder of one batch. An attempt that was given up may still write into it: it writes the same. */
export async function openChunkFiles(dir: string): Promise<ChunkFiles> {
  await mkdir(dir, { recursive: true });
  const fileOf = (index: number) => path.join(dir, `${String(index).padStart(6, "0")}.json`);
  return {
    async read(index) {
      const text = await readFile(fileOf(index), "utf8").catch(ignoreAbsent);
      return text === undefined ? undefined : (JSON.parse(text) as LeadLine[]);
    },
    async write(index, lines) {
      const partial = `${fileOf(index)}.${randomUUID()}.partial`;
      const handle = await open(partial, "w");
      try {
        await handle.writeFile(JSON.stringify(lines));
        await handle.sync();
      } finally {
        await handle.close();
      }
      await rename(partial, fileOf(index));
    },
  };
}

function ignoreAbsent(error: NodeJS.ErrnoException): undefined {
  if (error.code !== "ENOENT") throw error;
}
