import type { RequestHandler } from "express";
import { collectDefaultMetrics, Gauge, Histogram, Registry } from "prom-client";

export interface Metrics {
  registry: Registry;
  /** Times every reply by method, route and status. */
  measure: RequestHandler;
}

/** Fresh metrics, none of them global. `unfinished` counts the jobs that are queued or running. */
export function createMetrics(unfinished: () => Promise<number>): Metrics {
  const registry = new Registry();
  collectDefaultMetrics({ register: registry });
  new Gauge({
    name: "fellmark_jobs_unfinished",
    help: "Coverage jobs that are queued or running",
    registers: [registry],
    async collect() {
      this.set(await unfinished());
    },
  });
  const replies = new Histogram({
    name: "fellmark_http_reply_seconds",
    help: "Time from request to the end of the reply",
    labelNames: ["method", "route", "status"],
    buckets: [0.005, 0.02, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10],
    registers: [registry],
  });
  return { registry, measure: measureWith(replies) };
}

function measureWith(replies: Histogram<"method" | "route" | "status">): RequestHandler {
  return (req, res, next) => {
    const stop = replies.startTimer();
    // The pattern, never the address: ids would make a series each.
    res.once("close", () => stop({ method: req.method, route: req.route?.path ?? "none", status: res.statusCode }));
    next();
  };
}
