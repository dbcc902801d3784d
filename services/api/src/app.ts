import compression from "compression";
import express, { type Express } from "express";
import type { ApiContext } from "./context.ts";
import { docsPage } from "./docs-page.ts";
import { readJsonBody } from "./json-body.ts";
import { allowOnly, answerProblem, refuseUnknownAddress } from "./problem.ts";
import { limitRate, logRequests, secureHeaders } from "./protection.ts";
import { deleteCoverage } from "./routes/delete-coverage.ts";
import { getCoverage } from "./routes/get-coverage.ts";
import { getEvents } from "./routes/get-events.ts";
import { getLive, getReady } from "./routes/get-health.ts";
import { getMetrics } from "./routes/get-metrics.ts";
import { getOpenapi } from "./routes/get-openapi.ts";
import { getResult, mapFile, rasterFile, summaryFile, tiersFile } from "./routes/get-result.ts";
import { postAntennaMeasures } from "./routes/post-antenna-measures.ts";
import { postCoverage } from "./routes/post-coverage.ts";
import { retryCoverage } from "./routes/retry-coverage.ts";

/** The HTTP service as a table of its routes. Starts nothing. */
export function createApp(context: ApiContext): Express {
  const app = express();
  app.set("trust proxy", context.config.trustedProxies);
  app.disable("etag");
  app.use(logRequests(context.logger), context.metrics.measure, secureHeaders());

  app.route("/health/live").get(getLive).all(allowOnly("GET, HEAD"));
  app.route("/health/ready").get(getReady(context)).all(allowOnly("GET, HEAD"));
  app.route("/metrics").get(getMetrics(context)).all(allowOnly("GET, HEAD"));
  app.route("/openapi.json").get(compression(), getOpenapi()).all(allowOnly("GET, HEAD"));
  app.use("/docs", docsPage());

  app.use("/v1", limitRate(context.config.maxRequestsPerMinute));
  app.route("/v1/coverages").post(readJsonBody(), postCoverage(context)).all(allowOnly("POST"));
  app.route("/v1/antennas/measures").post(readJsonBody(), postAntennaMeasures()).all(allowOnly("POST"));

  const coverage = "/v1/coverages/:id";
  app.route(coverage).get(getCoverage(context)).delete(deleteCoverage(context)).all(allowOnly("GET, HEAD, DELETE"));
  app.route(`${coverage}/retry`).post(retryCoverage(context)).all(allowOnly("POST"));
  app.route(`${coverage}/events`).head(allowOnly("GET")).get(getEvents(context)).all(allowOnly("GET"));
  const results = {
    "/summary": [compression(), getResult(context, summaryFile)],
    "/tiers.geojson": [compression(), getResult(context, tiersFile)],
    "/map.png": [getResult(context, mapFile)],
    "/rasters/:name.tif": [getResult(context, rasterFile)],
  };
  for (const [below, handlers] of Object.entries(results)) {
    app
      .route(coverage + below)
      .get(handlers)
      .all(allowOnly("GET, HEAD"));
  }

  app.use(refuseUnknownAddress);
  app.use(answerProblem);
  return app;
}
