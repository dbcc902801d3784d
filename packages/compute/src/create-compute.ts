import { FellmarkError } from "@fellmark/units";
import type { SourceMessage } from "./answering-networks.ts";
import { ChildPool } from "./child-pool.ts";
import { startChild } from "./child-process.ts";
import type { CallLimits, Compute } from "./compute.ts";
import { LANES } from "./lanes.ts";
import type { CallName, Calls } from "./protocol.ts";

export interface ComputeOptions {
  /** Resident memory of a child above which it is killed. */
  memoryCapBytes?: number;
  /** Jobs after which an idle child is replaced by a fresh one. */
  recycleAfter?: number;
}

const DEFAULT_MEMORY_CAP_BYTES = 4 * 2 ** 30;
const DEFAULT_RECYCLE_AFTER = 100;

/** Calls that a network answers. */
type SourcedCall = "prepare" | "serviceability" | "install" | "calibration";
type SourcedTask<Name extends SourcedCall> = Parameters<Compute[Name]>[0];

/** Returns the calls of compute children, which are started by the first call of their lane and kept warm. */
export function createCompute(options: ComputeOptions = {}): Compute {
  const { memoryCapBytes = DEFAULT_MEMORY_CAP_BYTES, recycleAfter = DEFAULT_RECYCLE_AFTER } = options;
  const pool = new ChildPool({ start: () => startChild(memoryCapBytes), recycleAfter });
  let callsMade = 0;

  async function call<Name extends CallName>(
    name: Name,
    args: Calls[Name][0],
    { deadlineMs, signal, onProgress }: CallLimits,
  ): Promise<Calls[Name][1]> {
    if (signal?.aborted) throw createCancelledError();
    const [deadline, giveUp] = [new AbortController(), new AbortController()];
    const tooLate = () => deadline.abort(new FellmarkError("timeout", `no answer within ${deadlineMs} ms`));
    const stop = () => giveUp.abort(createCancelledError());
    const timer = setTimeout(tooLate, deadlineMs);
    signal?.addEventListener("abort", stop);
    try {
      const message = { number: ++callsMade, name, args };
      const asked = { message, onProgress, deadline: deadline.signal, giveUp: giveUp.signal };
      return (await pool.ask(LANES[name], asked)) as Calls[Name][1];
    } finally {
      // A shared child may still work on a question that was given up: not beyond its deadline.
      if (giveUp.signal.aborted) timer.unref();
      else clearTimeout(timer);
      signal?.removeEventListener("abort", stop);
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
    prepare: (task, limits) => callWithSource("prepare", task, limits),
    serviceability: (task, limits) => callWithSource("serviceability", task, limits),
    install: (task, limits) => callWithSource("install", task, limits),
    calibration: (task, limits) => callWithSource("calibration", task, limits),
    draw: (task, limits) => call("draw", task, limits),
    batch: (task, limits) => call("batch", task, limits),
    importPremises: (task, limits) => call("importPremises", task, limits),
    workOnBody: (name, sent, limits) => call(name, sent, limits),
    prepareLayer: (task, limits) => call("prepareLayer", task, limits),
    antennaReport: (task, limits) => call("antennaReport", task, limits),
    terrainReport: (terrainDir, limits) => call("terrainReport", { terrainDir }, limits),
    terrainState: (terrainDir, limits) => call("terrainState", { terrainDir }, limits),
    terrainFacts: (terrainDir, question, limits) => call("terrainFacts", { terrainDir, question }, limits),
    close: () => pool.close(),
  };
}

function createCancelledError(): FellmarkError {
  return new FellmarkError("cancelled", "the call was cancelled");
}
