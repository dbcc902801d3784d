import { statSync } from "node:fs";
import { TransientError } from "@fellmark/units";

/**
 * Remembers which file or folder a path leads to. The returned function throws TransientError 'storage_failed' while it
 * leads to nothing or to another one: the data folder was moved, removed or replaced.
 */
export function watchPlace(path: string): () => void {
  const { dev, ino } = statSync(path);
  return () => {
    const now = statSync(path, { throwIfNoEntry: false });
    if (now?.dev === dev && now.ino === ino) return;
    throw new TransientError("storage_failed", "the data folder was moved, removed or replaced while it was in use");
  };
}
