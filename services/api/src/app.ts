import compression from "compression";
import express, { type Express } from "express";
import type { ApiContext } from "./context.ts";
import { docsPage } from "./docs-page.ts";
import { addJobRoutes } from "./job-routes.ts";
import { MAX_NETWORK_BYTES, readJsonBody } from "./json-body.ts";
import { allowOnly, answerProblem, refuseUnknownAddress } from "./problem.ts";
import { limitRate, logRequests, secureHeaders } from "./protection.ts";
import { getLive, getReady } from "./routes/get-health.ts";
import { getMetrics } from "./routes/get-metrics.ts";
import { getNetwork, getNetworkSchema, getNetworkVersion, getNetworkVersions } from "./routes/get-network.ts";
import { getOpenapi } from "./routes/get-openapi.ts";
import { getPremises, getPremisesById } from "./routes/get-premises.ts";
import {
  afterMapFile,
  answersCsvFile,
  answersGeojsonFile,
  beforeMapFile,
  changeFile,
  changeMapFile,
  mapFile,
  rasterFile,
  summaryFile,
  tiersFile,
} from "./routes/get-result.ts";
import { postAdvice } from "./routes/post-advice.ts";
import { postAntennaMeasures } from "./routes/post-antenna-measures.ts";
import { postBatch } from "./routes/post-batch.ts";
import { postComparison } from "./routes/post-comparison.ts";
import { postCorrection } from "./routes/post-correction.ts";
import { postCoverage } from "./routes/post-coverage.ts";
import { postInstall } from "./routes/post-install.ts";
import { postNetworkCoverage } from "./routes/post-network-coverage.ts";
import { postPremises } from "./routes/post-premises.ts";
import { postServiceability, postServiceabilityProfile } from "./routes/post-serviceability.ts";
import { putNetwork } from "./routes/put-network.ts";

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
  const readBody = readJsonBody();
  const readNetwork = readJsonBody(MAX_NETWORK_BYTES);

  app
    .route("/v1/network")
    .get(compression(), getNetwork(context))
    .put(readNetwork, putNetwork(context))
    .all(allowOnly("GET, HEAD, PUT"));
  app.route("/v1/network/schema").get(compression(), getNetworkSchema()).all(allowOnly("GET, HEAD"));
  app.route("/v1/network/versions").get(getNetworkVersions(context)).all(allowOnly("GET, HEAD"));
  app.route("/v1/network/versions/:version").get(compression(), getNetworkVersion(context)).all(allowOnly("GET, HEAD"));
  app.route("/v1/network/coverages").post(readBody, postNetworkCoverage(context)).all(allowOnly("POST"));

  app.route("/v1/antennas/measures").post(readBody, postAntennaMeasures(context)).all(allowOnly("POST"));

  app.route("/v1/premises").get(getPremises(context)).post(postPremises(context)).all(allowOnly("GET, HEAD, POST"));
  app.route("/v1/premises/:id").get(getPremisesById(context)).all(allowOnly("GET, HEAD"));

  app.route("/v1/serviceability").post(readBody, postServiceability(context)).all(allowOnly("POST"));
  app.route("/v1/serviceability/profile").post(readBody, postServiceabilityProfile(context)).all(allowOnly("POST"));
  app.route("/v1/installs").post(readBody, postInstall(context)).all(allowOnly("POST"));
  app.route("/v1/corrections").post(readNetwork, postCorrection(context)).all(allowOnly("POST"));

  app.route("/v1/coverages").post(readBody, postCoverage(context)).all(allowOnly("POST"));
  addJobRoutes(app, context, "coverage", {
    "/summary": summaryFile,
    "/tiers.geojson": tiersFile,
    "/map.png": mapFile,
    "/rasters/:name.tif": rasterFile,
  });
  app.route("/v1/comparisons").post(readNetwork, postComparison(context)).all(allowOnly("POST"));
  addJobRoutes(app, context, "comparison", {
    "/summary": summaryFile,
    "/change.geojson": changeFile,
    "/change.png": changeMapFile,
    "/before.png": beforeMapFile,
    "/after.png": afterMapFile,
  });
  app.route("/v1/advice").post(readNetwork, postAdvice(context)).all(allowOnly("POST"));
  addJobRoutes(app, context, "advice", { "/summary": summaryFile });

  app.route("/v1/batches").post(readNetwork, postBatch(context)).all(allowOnly("POST"));
  addJobRoutes(app, context, "batch", {
    "/summary": summaryFile,
    "/answers.csv": answersCsvFile,
    "/answers.geojson": answersGeojsonFile,
  });

  app.use(refuseUnknownAddress);
  app.use(answerProblem);
  return app;
}
