import { TransientError } from "@fellmark/units";
import type { RequestHandler } from "express";
import { answerWithin, NO_ANSWER } from "../children/answer-within.ts";
import type { ApiContext } from "../context.ts";
import { buildProblem, sendProblem } from "../http/problem.ts";

const CHECK_LIMIT_MS = 2_000;

/** The process runs and its event loop turns. */
export function getLive(): RequestHandler {
  return (_req, res) => void res.set("Cache-Control", "no-store").json({ status: "live" });
}

/** Everything a new coverage needs answers: a ledger and a folder that take writes, room on the disk, a queue round trip, terrain. */
export function getReady({ ledger, store, queue, terrain, logger }: ApiContext): RequestHandler {
  const checks: Record<string, () => Promise<void>> = {
    ledger: () => ledger.check(),
    storage: () => store.check(),
    queue: () => queue.check(),
    terrain: () => terrain.check(),
  };
  const passes = async (name: string, check: () => Promise<void>): Promise<boolean> => {
    try {
      return (await answerWithin(check(), CHECK_LIMIT_MS)) !== NO_ANSWER;
    } catch (error) {
      logger.warn({ err: error, check: name }, "not ready");
      return false;
    }
  };
  return async (req, res) => {
    const passed = await Promise.all(Object.entries(checks).map(([name, check]) => passes(name, check)));
    const failing = Object.keys(checks).filter((_name, index) => !passed[index]);
    if (failing.length === 0) return void res.set("Cache-Control", "no-store").json({ status: "ready" });
    const errors = failing.map((name) => ({ pointer: `/${name}`, detail: "is not ready" }));
    sendProblem(res, { ...buildProblem(new TransientError("not_ready", "not ready"), String(req.id)), errors });
  };
}
