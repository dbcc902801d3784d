import { z } from "zod";
import type { ZodOpenApiPathsObject, ZodOpenApiResponsesObject } from "zod-openapi";
import { liveSchema, readySchema } from "../health/health-replies.ts";
import { describeRefusals, textSchema } from "./path-parts.ts";

interface PlainPage {
  operationId: string;
  summary: string;
  content: Record<string, { schema: z.ZodType }>;
  more?: ZodOpenApiResponsesObject;
}

function describePlainPath({ operationId, summary, content, more = {} }: PlainPage): ZodOpenApiPathsObject[string] {
  const responses = { "200": { description: "OK", content }, ...more };
  return { get: { operationId, tags: ["service"], summary, responses } };
}

export const servicePaths: ZodOpenApiPathsObject = {
  "/": describePlainPath({
    operationId: "getLandingPage",
    summary: "A page that says what is here",
    content: { "text/html": { schema: textSchema } },
  }),
  "/health/live": describePlainPath({
    operationId: "getLive",
    summary: "The process runs",
    content: { "application/json": { schema: liveSchema } },
  }),
  "/health/ready": describePlainPath({
    operationId: "getReady",
    summary: "Ledger, queue and terrain are ready",
    content: { "application/json": { schema: readySchema } },
    more: describeRefusals(503),
  }),
  "/metrics": describePlainPath({
    operationId: "getMetrics",
    summary: "Prometheus metrics",
    content: { "text/plain": { schema: textSchema } },
  }),
  "/openapi.json": describePlainPath({
    operationId: "getOpenapi",
    summary: "This document",
    content: { "application/json": { schema: z.looseObject({}) } },
  }),
};
