import { createInterface } from "node:readline";
import type { Readable } from "node:stream";

export interface LineWatch {
  /** All complete lines so far. */
  lines: string[];
  /**
   * Resolves with the match of the first line, past or future, that fits. Rejects at the end of the stream or after the
   * time limit (10 s by default) with the last lines.
   */
  waitFor(pattern: RegExp, timeoutMs?: number): Promise<RegExpMatchArray>;
}

/** Reads a child's output line by line until its end, so that the child never blocks on a full pipe. */
export function watchLines(stream: Readable): LineWatch {
  const lines: string[] = [];
  const reader = createInterface({ input: stream });
  let ended = false;
  reader.on("line", (line) => lines.push(line));
  reader.on("close", () => {
    ended = true;
  });

  function waitFor(pattern: RegExp, timeoutMs = 10_000): Promise<RegExpMatchArray> {
    return new Promise((resolve, reject) => {
      const settle = (why?: string) => {
        const match = lines.map((line) => line.match(pattern)).find((found) => found !== null);
        if (!match && why === undefined) return;
        clearTimeout(timer);
        reader.off("line", onLine).off("close", onEnd);
        if (match) resolve(match);
        else reject(new Error(`no line like ${pattern} ${why}; the last lines:\n${lines.slice(-20).join("\n")}`));
      };
      const onLine = () => settle();
      const onEnd = () => settle("before the end of the output");
      const timer = setTimeout(() => settle(`within ${timeoutMs} ms`), timeoutMs);
      reader.on("line", onLine).on("close", onEnd);
      settle(ended ? "before the end of the output" : undefined);
    });
  }
  return { lines, waitFor };
}
