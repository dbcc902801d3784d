import { toStorageError } from "@fellmark/ledger";
import { toErrorRecord } from "@fellmark/units";
import { createChildCalls } from "./child-calls.ts";
import type { CallMessage, ChildMessage } from "./protocol.ts";

const calls = createChildCalls();

/** A parent that is gone needs no answer; the disconnect ends this process. */
function send(message: ChildMessage): void {
  process.send?.(message, () => undefined);
}

// Ctrl-C reaches the whole group: the parent decides what becomes of the work.
process.on("SIGINT", () => undefined);

process.on("message", async ({ number, name, args }: CallMessage) => {
  const onProgress = (progress: number, stage: string) => send({ kind: "progress", number, progress, stage });
  try {
    const value = await calls[name](args as never, onProgress);
    send({ kind: "reply", number, value });
  } catch (error) {
    send({ kind: "error", number, error: toErrorRecord(toStorageError(error)) });
  }
});

process.on("disconnect", () => process.exit(0));
