import { FellmarkError } from "@fellmark/units";
import type { Request, RequestHandler } from "express";

/** Time for a whole body, and the longest silence in one that may be large. */
export interface BodyTimes {
  totalMs: number;
  silenceMs: number;
}

const timers = new WeakMap<Request, { mayTakeLong: () => void }>();

/** Cuts requests whose body does not arrive in time: answers 408 where nothing was answered yet, and closes. */
export function limitBodyTime({ totalMs, silenceMs }: BodyTimes): RequestHandler {
  return (req, res, next) => {
    if (req.complete || ((req.get("Content-Length") ?? "0") === "0" && req.get("Transfer-Encoding") === undefined))
      return next();
    const cut = () => {
      if (!res.headersSent) next(new FellmarkError("body_too_slow", "the body did not arrive in time"));
      res.once("finish", () => req.destroy());
      if (res.writableEnded) req.destroy();
    };
    let timer = setTimeout(cut, totalMs);
    const stop = () => clearTimeout(timer);
    const restart = () => {
      stop();
      timer = setTimeout(cut, silenceMs);
    };
    req.once("end", stop).once("close", stop);
    const mayTakeLong = () => {
      restart();
      req.on("data", restart);
    };
    timers.set(req, { mayTakeLong });
    next();
  };
}

/** From now on the body may take as long as it moves. Call it where the body is about to be read: it starts the flow. */
export function letBodyTakeLong(req: Request): void {
  timers.get(req)?.mayTakeLong();
}
