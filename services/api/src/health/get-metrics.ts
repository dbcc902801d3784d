import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";

export function getMetrics({ metrics }: ApiContext): RequestHandler {
  return async (_req, res) => {
    res
      .set("Cache-Control", "no-store")
      .type(metrics.registry.contentType)
      .send(await metrics.registry.metrics());
  };
}
