import { z } from "zod";
import type { ZodOpenApiPathsObject, ZodOpenApiResponsesObject } from "zod-openapi";
import { liveSchema, readySchema } from "../health/health-replies.ts";
import { refusals, textSchema } from "./path-parts.ts";

interface PlainPage {
  operationId: string;
  summary: string;
  content: Record<string, { schema: z.ZodType }>;
  more?: ZodOpenApiResponsesObject;
}

function plainPath({ operationId, summary, content, more = {} }: PlainPage): ZodOpenApiPathsObject[string] {
  const responses = { "200": { description: "OK", content }, ...more };
  return { get: { operationId, tags: ["service"], summary, responses } };
}

export const servicePaths: ZodOpenApiPathsObject = {
  "/": plainPath({
    operationId: "getLandingPage",
    summary: "A page that says what is here",
    content: { "text/html": { schema: textSchema } },
  }),
  "/health/live": plainPath({
    operationId: "getLive",
    summary: "The process runs",
    content: { "application/json": { schema: liveSchema } },
  }),
  "/health/ready": plainPath({
    operationId: "getReady",
    summary: "Ledger, queue and terrain are ready",
    content: { "application/json": { schema: readySchema } },
    more: refusals(503),
  }),
  "/metrics": plainPath({
    operationId: "getMetrics",
    summary: "Prometheus metrics",
    content: { "text/plain": { schema: textSchema } },
  }),
  "/openapi.json": plainPath({
    operationId: "getOpenapi",
    summary: "This document",
    content: { "application/json": { schema: z.looseObject({}) } },
  }),
};
