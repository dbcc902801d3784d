import { EventEmitter } from "node:events";
import type { Request, Response } from "express";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { letBodyTakeLong, limitBodyTime } from "./body-time.ts";

const TIMES = { totalMs: 15_000, silenceMs: 15_000 };

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

/** A request whose body is on its way, and what the middleware hands on. */
function incoming(headers: Record<string, string> = { "Content-Length": "100" }) {
  const req = Object.assign(new EventEmitter(), {
    complete: false,
    get: (name: string) => headers[name],
    destroy: vi.fn(),
  });
  const res = Object.assign(new EventEmitter(), { headersSent: false, writableEnded: false });
  const next = vi.fn();
  const request = req as unknown as Request;
  limitBodyTime(TIMES)(request, res as unknown as Response, next);
  return { req, request, res, next };
}

describe("a body", () => {
  test("that trickles is cut with 408 after its time, whatever still comes", () => {
    const { req, next } = incoming({ "Transfer-Encoding": "chunked" });
    for (let second = 0; second < 14; second++) {
      vi.advanceTimersByTime(1000);
      req.emit("data", "x");
    }
    expect(next).toHaveBeenCalledTimes(1);
    vi.advanceTimersByTime(1000);
    expect(next).toHaveBeenLastCalledWith(expect.objectContaining({ code: "body_too_slow" }));
  });

  test("that may take long is not cut while it moves, and is cut when it stops", () => {
    const { req, request, next } = incoming();
    letBodyTakeLong(request);
    for (let minute = 0; minute < 10; minute++) {
      vi.advanceTimersByTime(14_000);
      req.emit("data", "x");
    }
    expect(next).toHaveBeenCalledTimes(1);
    vi.advanceTimersByTime(15_000);
    expect(next).toHaveBeenLastCalledWith(expect.objectContaining({ code: "body_too_slow" }));
  });

  test("that arrived is left alone, and one that goes on after the reply is closed", () => {
    const arrived = incoming();
    arrived.req.emit("end");
    const answered = incoming();
    Object.assign(answered.res, { headersSent: true, writableEnded: true });
    vi.advanceTimersByTime(60_000);
    expect(arrived.next).toHaveBeenCalledTimes(1);
    expect(answered.next).toHaveBeenCalledTimes(1);
    expect(answered.req.destroy).toHaveBeenCalled();
  });

  test("that is not there needs no time", () => {
    const { next } = incoming({});
    vi.advanceTimersByTime(60_000);
    expect(next).toHaveBeenCalledTimes(1);
  });
});
