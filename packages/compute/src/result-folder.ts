import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { stat, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { pipeline } from "node:stream/promises";
import type { ResultFile } from "@fellmark/ledger";

/** The folder of one result, and a record of every file that the computation wrote into it. */
export interface ResultFolder {
  /** Writes a file and records it as it was given. */
  write(name: string, content: string | Uint8Array): Promise<void>;
  /** Records a file that another writer has finished. */
  record(name: string): Promise<void>;
  /** Files so far, in the order of their names: only these are published. */
  files(): ResultFile[];
}

/** Opens an existing folder; names are relative to it. */
export function openResultFolder(dir: string): ResultFolder {
  const files = new Map<string, ResultFile>();
  return {
    async write(name, content) {
      const bytes = typeof content === "string" ? Buffer.from(content) : content;
      await writeFile(join(dir, name), bytes);
      files.set(name, { name, bytes: bytes.length, sha256: createHash("sha256").update(bytes).digest("hex") });
    },
    async record(name) {
      const hash = createHash("sha256");
      await pipeline(createReadStream(join(dir, name)), hash);
      files.set(name, { name, bytes: (await stat(join(dir, name))).size, sha256: hash.digest("hex") });
    },
    files: () => [...files.values()].sort((a, b) => (a.name < b.name ? -1 : 1)),
  };
}
