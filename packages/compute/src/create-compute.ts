import { type ChildProcess, fork } from "node:child_process";
import { readFileSync } from "node:fs";
import { FellmarkError, fromErrorRecord } from "@fellmark/units";
import type { SourceMessage } from "./answering-networks.ts";
import type { CallLimits, Compute } from "./compute.ts";
import type { CallMessage, CallName, Calls, ChildMessage } from "./protocol.ts";

export interface ComputeOptions {
  /** Resident memory of the child above which it is killed. */
  memoryCapBytes?: number;
  /** Coverages after which an idle child is replaced by a fresh one. */
  recycleAfter?: number;
}

const DEFAULT_MEMORY_CAP_BYTES = 4 * 2 ** 30;
const DEFAULT_RECYCLE_AFTER = 100;
const MEMORY_CHECK_MS = 100;

/** Calls after enough of which a child is replaced. */
const HEAVY_CALLS = new Set<CallName>(["cover", "compare", "advise", "batch"]);

interface PendingCall {
  limits: CallLimits;
  resolve: (value: unknown) => void;
  reject: (error: Error) => void;
}

/** Calls that a network answers. */
type SourcedCall = "serviceability" | "install" | "calibration";
type SourcedTask<Name extends SourcedCall> = Parameters<Compute[Name]>[0];

/** One child with the calls that are waiting for it. */
interface Child {
  process: ChildProcess;
  pending: Map<number, PendingCall>;
  /** Why it was killed or has ended; the error of every call that is still waiting. */
  verdict?: FellmarkError;
  coverages: number;
  memoryWatch: NodeJS.Timeout;
}

/** A warm compute child: started by the first call, kept, replaced after a kill or after `recycleAfter` coverages. */
export function createCompute(options: ComputeOptions = {}): Compute {
  const memoryCapBytes = options.memoryCapBytes ?? DEFAULT_MEMORY_CAP_BYTES;
  const recycleAfter = options.recycleAfter ?? DEFAULT_RECYCLE_AFTER;
  let child: Child | undefined;
  let callsMade = 0;

  function retire(gone: Child, verdict: FellmarkError): void {
    gone.verdict ??= verdict;
    if (child === gone) child = undefined;
    gone.process.kill("SIGKILL");
  }

  function startChild(): Child {
    const process = fork(new URL("../dist/child-main.js", import.meta.url), {
      serialization: "advanced",
      execArgv: ["--expose-gc"],
    });
    const started: Child = {
      process,
      pending: new Map(),
      coverages: 0,
      memoryWatch: setInterval(() => {
        const bytes = residentBytes(process.pid);
        if (bytes > memoryCapBytes) retire(started, memoryError(memoryCapBytes));
      }, MEMORY_CHECK_MS),
    };
    process.on("message", (message: ChildMessage) => receive(started, message));
    // A process that could not be started has no exit.
    process.on("error", (error) => {
      retire(started, new FellmarkError("worker_killed", error.message));
      if (process.pid === undefined) bury(started);
    });
    process.on("exit", (code, signal) => {
      started.verdict ??= new FellmarkError("worker_killed", `the compute child ended (${signal ?? code})`);
      bury(started);
    });
    return started;
  }

  /** Tells every call that still waits for a child that has ended. */
  function bury(gone: Child): void {
    clearInterval(gone.memoryWatch);
    if (child === gone) child = undefined;
    for (const call of gone.pending.values()) call.reject(gone.verdict as FellmarkError);
    gone.pending.clear();
  }

  function receive(from: Child, message: ChildMessage): void {
    const call = from.pending.get(message.number);
    if (message.kind === "progress") {
      call?.limits.onProgress?.(message.progress, message.stage);
      return;
    }
    from.pending.delete(message.number);
    if (message.kind === "reply") call?.resolve(message.value);
    else call?.reject(fromErrorRecord(message.error));
    if (from.pending.size === 0 && from.coverages >= recycleAfter)
      retire(from, new FellmarkError("recycled", "recycled"));
  }

  async function call<Name extends CallName>(name: Name, args: Calls[Name][0], limits: CallLimits) {
    if (limits.signal?.aborted) throw cancelled();
    child ??= startChild();
    const to = child;
    const number = ++callsMade;
    if (HEAVY_CALLS.has(name)) to.coverages++;
    const stop = () => retire(to, cancelled());
    const tooLate = () => retire(to, new FellmarkError("timeout", `no answer within ${limits.deadlineMs} ms`));
    const deadline = setTimeout(tooLate, limits.deadlineMs);
    limits.signal?.addEventListener("abort", stop);
    try {
      return await new Promise<Calls[Name][1]>((resolve, reject) => {
        to.pending.set(number, { limits, resolve: resolve as (value: unknown) => void, reject });
        to.process.send({ number, name, args } satisfies CallMessage<Name>, (error) => {
          if (error) retire(to, new FellmarkError("worker_killed", error.message));
        });
      });
    } finally {
      clearTimeout(deadline);
      limits.signal?.removeEventListener("abort", stop);
    }
  }

  /** A call that a network answers: by its version, and again with its document where the child does not hold that. */
  async function callWithSource<Name extends SourcedCall>(name: Name, task: SourcedTask<Name>, limits: CallLimits) {
    const { source, ...rest } = task;
    const send = (sent: SourceMessage) => call(name, { ...rest, source: sent } as unknown as Calls[Name][0], limits);
    if ("request" in source) return send(source);
    const { network, ...named } = source;
    const sent = { ...named, version: network.version };
    try {
      return await send(sent);
    } catch (error) {
      if (!(error instanceof FellmarkError) || error.code !== "network_not_held") throw error;
      return send({ ...sent, document: await network.document() });
    }
  }

  return {
    cover: (task, limits) => call("cover", task, limits),
    compare: (task, limits) => call("compare", task, limits),
    advise: (task, limits) => call("advise", task, limits),
    answer: (task, limits) => call("answer", task, limits),
    serviceability: (task, limits) => callWithSource("serviceability", task, limits),
    install: (task, limits) => callWithSource("install", task, limits),
    calibration: (task, limits) => callWithSource("calibration", task, limits),
    draw: (task, limits) => call("draw", task, limits),
    batch: (task, limits) => call("batch", task, limits),
    importPremises: (task, limits) => call("importPremises", task, limits),
    antennaReport: (task, limits) => call("antennaReport", task, limits),
    terrainReport: (terrainDir, limits) => call("terrainReport", { terrainDir }, limits),
    terrainState: (terrainDir, limits) => call("terrainState", { terrainDir }, limits),
    groundHeights: (terrainDir, ground, points, limits) =>
      call("groundHeights", { terrainDir, ground, points }, limits),
    async close() {
      const last = child;
      if (!last) return;
      const exited = new Promise((resolve) => last.process.once("exit", resolve));
      retire(last, new FellmarkError("cancelled", "the compute child was closed"));
      await exited;
    },
  };
}

function cancelled(): FellmarkError {
  return new FellmarkError("cancelled", "the call was cancelled");
}

function memoryError(capBytes: number): FellmarkError {
  return new FellmarkError("memory", `the compute child needed more than ${Math.round(capBytes / 2 ** 20)} MB`);
}

/** Resident set of a process; 0 where the system does not tell (then only the deadline holds). Source: proc(5). */
export function residentBytes(pid: number | undefined): number {
  try {
    const kilobytes = /^VmRSS:\s+(\d+) kB$/m.exec(readFileSync(`/proc/${pid}/status`, "latin1"))?.[1];
    return Number(kilobytes ?? 0) * 1024;
  } catch {
    return 0;
  }
}
