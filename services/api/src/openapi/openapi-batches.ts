import { batchBodySchema } from "@fellmark/network";
import type { ZodOpenApiPathsObject } from "zod-openapi";
import { jobPaths, queued, refusals, result } from "./openapi-parts.ts";

const example = {
  version: 1,
  source: { network: "current" as const, radiusM: 15_000 },
  leads: { text: "id,address\n1,12 Alder Row\n" },
};

/** Many leads at once, as a job. */
export const batches: ZodOpenApiPathsObject = {
  "/v1/batches": queued({
    tag: "batches",
    summary: "Queue the answers to many leads",
    description:
      "Leads as the text of a CSV or GeoJSON file; each row an address, the id of premises, or a point, which counts " +
      "before the others. A row whose place is not known, or fits several, keeps its place with verdict not-known and " +
      "the problem. A retried job goes on behind what was answered.",
    body: { schema: batchBodySchema.meta({ id: "Batch" }), example },
    more: refusals(404),
  }),
  ...jobPaths("/v1/batches", "batches"),
  "/v1/batches/{id}/summary": result("batches", "Counts by verdict, plan and problem", "application/json"),
  "/v1/batches/{id}/answers.csv": result(
    "batches",
    "A line a lead; text that a spreadsheet would run is led by an apostrophe",
    "text/csv",
  ),
  "/v1/batches/{id}/answers.geojson": result("batches", "A feature a lead", "application/geo+json"),
};
