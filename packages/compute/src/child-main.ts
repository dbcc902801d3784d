import { toStorageError } from "@fellmark/ledger";
import { learnHashes, takeNewHashes } from "@fellmark/terrain";
import { toErrorRecord } from "@fellmark/units";
import { createChildCalls } from "./child-calls.ts";
import type { CallMessage, ChildMessage, HashesMessage } from "./protocol.ts";

const calls = createChildCalls();

/** A parent that is gone needs no answer; the disconnect ends this process. */
function send(message: ChildMessage): void {
  process.send?.(message, () => undefined);
}

// Ctrl-C reaches the whole group: the parent decides what becomes of the work.
process.on("SIGINT", () => undefined);

process.on("message", async (message: CallMessage | HashesMessage) => {
  if ("hashes" in message) return learnHashes(message.hashes);
  const { number, name, args } = message;
  const onProgress = (progress: number, stage: string) => send({ kind: "progress", number, progress, stage });
  const reply = await calls[name](args as never, onProgress).then(
    (value): ChildMessage => ({ kind: "reply", number, value }),
    (error): ChildMessage => ({ kind: "error", number, error: toErrorRecord(toStorageError(error)) }),
  );
  // The parent knows them before it asks the next child.
  const hashes = takeNewHashes();
  if (hashes.length > 0) send({ kind: "hashes", hashes });
  send(reply);
});

process.on("disconnect", () => process.exit(0));
