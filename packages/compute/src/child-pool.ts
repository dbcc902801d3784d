import { FellmarkError } from "@fellmark/units";
import { BystanderError, type ComputeChild, type PendingCall } from "./child-process.ts";
import type { Lane } from "./lanes.ts";

export interface ChildPoolOptions {
  start: () => ComputeChild;
  /** Calls of a child of its own after which it is replaced by a fresh one. */
  recycleAfter: number;
}

/** One call into the pool. */
export interface PooledCall extends PendingCall {
  /** Aborts, with the error of the call, when its time is up: its child is killed. */
  deadline: AbortSignal;
  /** Aborts when the caller gives up: its own child is killed, a shared one works on and the answer is dropped. */
  giveUp: AbortSignal;
}

/**
 * The children of one parent. Whatever ends a call ends no other: a call of its own child is alone in it, and a call
 * that only shared a child that was killed is made again.
 */
export class ChildPool {
  readonly #options: ChildPoolOptions;
  readonly #shared = new Map<string, ComputeChild>();
  readonly #alive = new Set<ComputeChild>();
  #idle: ComputeChild | undefined;
  #alone: Promise<unknown> = Promise.resolve();
  #closings = 0;

  constructor(options: ChildPoolOptions) {
    this.#options = options;
  }

  async ask(lane: Lane, call: PooledCall): Promise<unknown> {
    if (lane === "own") return this.#askOwn(call);
    const closings = this.#closings;
    try {
      return await this.#askShared(lane.shared, call);
    } catch (error) {
      if (!(error instanceof BystanderError)) throw error;
      if (closings !== this.#closings) throw error.verdict;
      return this.#askAlone(call);
    }
  }

  /** Kills every child; calls that wait reject as cancelled. The pool may be asked again. */
  async close(): Promise<void> {
    this.#closings++;
    const children = [...this.#alive];
    for (const child of children) child.kill(new FellmarkError("cancelled", "the compute child was closed"));
    await Promise.all(children.map(({ ended }) => ended));
  }

  /** A child that nobody else uses, the idle one where there is one. */
  async #askOwn(call: PooledCall): Promise<unknown> {
    const child = this.#takeIdle() ?? this.#start();
    const end = AbortSignal.any([call.deadline, call.giveUp]);
    const stop = () => child.kill(end.reason, call.message.number);
    end.addEventListener("abort", stop);
    try {
      return await child.ask(call);
    } catch (error) {
      throw error instanceof BystanderError ? error.verdict : error;
    } finally {
      end.removeEventListener("abort", stop);
      this.#giveBack(child);
    }
  }

  async #askShared(name: string, call: PooledCall): Promise<unknown> {
    const child = this.#takeShared(name);
    const { deadline, giveUp } = call;
    return new Promise((resolve, reject) => {
      const stop = () => child.kill(deadline.reason, call.message.number);
      const abandon = () => reject(giveUp.reason);
      deadline.addEventListener("abort", stop);
      giveUp.addEventListener("abort", abandon);
      const letGo = () => {
        deadline.removeEventListener("abort", stop);
        giveUp.removeEventListener("abort", abandon);
      };
      child.ask(call).finally(letGo).then(resolve, reject);
    });
  }

  /** Bystanders one after another, so that the next child that dies has died of its own call. */
  #askAlone(call: PooledCall): Promise<unknown> {
    const answer = this.#alone.then(() => {
      AbortSignal.any([call.deadline, call.giveUp]).throwIfAborted();
      return this.#askOwn(call);
    });
    this.#alone = answer.catch(() => undefined);
    return answer;
  }

  #start(): ComputeChild {
    const child = this.#options.start();
    this.#alive.add(child);
    void child.ended.then(() => this.#forget(child));
    return child;
  }

  #takeShared(name: string): ComputeChild {
    const known = this.#shared.get(name);
    if (known && !known.isDead()) return known;
    const child = this.#start();
    this.#shared.set(name, child);
    return child;
  }

  #takeIdle(): ComputeChild | undefined {
    const child = this.#idle;
    this.#idle = undefined;
    return child?.isDead() ? undefined : child;
  }

  /** One child stays warm; more were only needed for as long as several calls ran. */
  #giveBack(child: ComputeChild): void {
    if (child.isDead()) return;
    if (this.#idle === undefined && child.made() < this.#options.recycleAfter) this.#idle = child;
    else child.kill(new FellmarkError("recycled", "recycled"));
  }

  #forget(child: ComputeChild): void {
    this.#alive.delete(child);
    if (this.#idle === child) this.#idle = undefined;
    for (const [name, shared] of this.#shared) if (shared === child) this.#shared.delete(name);
  }
}
