import { EventEmitter, once } from "node:events";
import { pino } from "pino";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { stopOnSignals } from "./stop-on-signals.ts";

const LIMIT_MS = 5_000;

describe("stopping (F7)", () => {
  let signals: EventEmitter;
  let exits: EventEmitter;
  const codes: number[] = [];

  beforeEach(() => {
    vi.useFakeTimers();
    signals = new EventEmitter();
    exits = new EventEmitter();
    codes.length = 0;
    exits.on("exit", (code: number) => codes.push(code));
  });
  afterEach(() => void vi.useRealTimers());

  function arm(close: () => Promise<void>) {
    const exit = (code: number) => void exits.emit("exit", code);
    return stopOnSignals({ signals, close, limitMs: LIMIT_MS, logger: pino({ level: "silent" }), exit });
  }

  it("ends with 0 once everything is closed", async () => {
    arm(async () => {});
    signals.emit("SIGTERM");
    expect(await once(exits, "exit")).toEqual([0]);
  });

  it("ends with 1 when closing fails", async () => {
    arm(() => Promise.reject(new Error("disk")));
    signals.emit("SIGINT");
    expect(await once(exits, "exit")).toEqual([1]);
  });

  it("ends at once at the second signal", () => {
    arm(() => new Promise(() => {}));
    signals.emit("SIGTERM");
    expect(codes).toEqual([]);
    signals.emit("SIGTERM");
    expect(codes).toEqual([130]);
  });

  it("ends at the limit whatever closing does", () => {
    arm(() => new Promise(() => {}));
    signals.emit("SIGTERM");
    vi.advanceTimersByTime(LIMIT_MS);
    expect(codes).toEqual([1]);
  });

  it("ends with 1 when the process has become unfit", async () => {
    const stop = arm(async () => {});
    stop("the clock stepped");
    stop("the clock stepped again");
    expect(await once(exits, "exit")).toEqual([1]);
  });
});
