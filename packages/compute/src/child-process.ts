import { type ChildProcess, fork } from "node:child_process";
import { readFileSync } from "node:fs";
import { FellmarkError, toFellmarkError } from "@fellmark/units";
import type { CallMessage, ChildMessage, HashesMessage } from "./protocol.ts";
import { listHashes, noteHashes } from "./terrain-hashes.ts";

const MEMORY_CHECK_MS = 100;

/** A call as the parent keeps it until the reply. */
export interface PendingCall {
  message: CallMessage;
  onProgress: ((progress: number, stage: string) => void) | undefined;
}

/** The child ended because of another call, or of one that cannot be told: this call may be made again. */
export class BystanderError extends Error {
  readonly verdict: FellmarkError;
  constructor(verdict: FellmarkError) {
    super(verdict.message, { cause: verdict });
    this.verdict = verdict;
  }
}

/** One child process and the calls that wait for it. */
export interface ComputeChild {
  /** Calls that the child has not answered. */
  waiting(): number;
  /** Calls made so far. */
  made(): number;
  isDead(): boolean;
  /** Rejects with the error of the call, the verdict on the child where it was for this call, else BystanderError. */
  ask(call: PendingCall): Promise<unknown>;
  /** Kills the child; `guilty` is the number of the call for which it is killed. */
  kill(verdict: FellmarkError, guilty?: number): void;
  /** Resolves when the process is gone. */
  ended: Promise<void>;
}

interface Waiting extends PendingCall {
  resolve: (value: unknown) => void;
  reject: (error: Error) => void;
}

/** Starts a child that is killed when its resident memory passes the cap. */
export function startChild(memoryCapBytes: number): ComputeChild {
  const pending = new Map<number, Waiting>();
  const process = fork(new URL("../dist/child-main.js", import.meta.url), {
    serialization: "advanced",
    execArgv: ["--expose-gc"],
  });
  let made = 0;
  let toldHashes = 0;
  let death: { verdict: FellmarkError; guilty: number | undefined } | undefined;

  function kill(verdict: FellmarkError, guilty?: number): void {
    death ??= { verdict, guilty };
    process.kill("SIGKILL");
  }

  /** Tells every call that still waits why the child has ended. */
  function bury(): void {
    clearInterval(memoryWatch);
    const { verdict, guilty } = death as NonNullable<typeof death>;
    const isAlone = pending.size === 1 && guilty === undefined;
    for (const [number, { reject }] of pending)
      reject(isAlone || number === guilty ? verdict : new BystanderError(verdict));
    pending.clear();
  }

  function receive(message: ChildMessage): void {
    if (message.kind === "hashes") {
      noteHashes(message.hashes);
      return;
    }
    const call = pending.get(message.number);
    if (message.kind === "progress") {
      call?.onProgress?.(message.progress, message.stage);
      return;
    }
    pending.delete(message.number);
    if (message.kind === "reply") call?.resolve(message.value);
    else call?.reject(toFellmarkError(message.error));
  }

  /** No child hashes a terrain file again that another has hashed. */
  function tellHashes(): void {
    const hashes = listHashes(toldHashes);
    toldHashes += hashes.length;
    if (hashes.length > 0) process.send({ hashes } satisfies HashesMessage, () => undefined);
  }

  const memoryWatch = setInterval(() => {
    if (readResidentBytes(process.pid) > memoryCapBytes) kill(createMemoryError(memoryCapBytes));
  }, MEMORY_CHECK_MS);
  process.on("message", receive);
  const ended = waitUntilEnded(process, (verdict) => {
    death ??= { verdict, guilty: undefined };
    bury();
  });

  return {
    waiting: () => pending.size,
    made: () => made,
    isDead: () => death !== undefined,
    ask(call) {
      made++;
      return new Promise((resolve, reject) => {
        pending.set(call.message.number, { ...call, resolve, reject });
        tellHashes();
        process.send(call.message, (error) => {
          if (error) kill(new FellmarkError("worker_killed", error.message));
        });
      });
    },
    kill,
    ended,
  };
}

/** Calls back, once, with why the process has ended; resolves then. */
function waitUntilEnded(process: ChildProcess, onEnd: (verdict: FellmarkError) => void): Promise<void> {
  return new Promise((resolve) => {
    const end = (reason: string) => {
      onEnd(new FellmarkError("worker_killed", reason));
      resolve();
    };
    process.once("exit", (code, signal) => end(`the compute child ended (${signal ?? code})`));
    // A process that could not be started has no exit.
    process.on("error", (error) => {
      if (process.pid === undefined) end(error.message);
    });
  });
}

function createMemoryError(capBytes: number): FellmarkError {
  return new FellmarkError("memory", `the compute child needed more than ${Math.round(capBytes / 2 ** 20)} MB`);
}

/** Returns the resident set of a process; 0 where the system does not tell (then only the deadline holds). Source: proc(5). */
export function readResidentBytes(pid: number | undefined): number {
  try {
    const kilobytes = /^VmRSS:\s+(\d+) kB$/m.exec(readFileSync(`/proc/${pid}/status`, "latin1"))?.[1];
    return Number(kilobytes ?? 0) * 1024;
  } catch {
    return 0;
  }
}
