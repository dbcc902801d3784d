import compression from "compression";
import express, { type Express } from "express";
import { postAntennaMeasures } from "./catalogue/post-antenna-measures.ts";
import type { ApiContext } from "./context.ts";
import { getLive, getReady } from "./health/get-health.ts";
import { getMetrics } from "./health/get-metrics.ts";
import { MAX_NETWORK_BYTES, readJsonBody } from "./http/json-body.ts";
import { allowOnly, answerProblem, refuseUnknownAddress } from "./http/problem.ts";
import { limitRate, logRequests, secureHeaders } from "./http/protection.ts";
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
} from "./jobs/get-result.ts";
import { addJobRoutes } from "./jobs/job-routes.ts";
import { getNetwork, getNetworkSchema, getNetworkVersion, getNetworkVersions } from "./network/get-network.ts";
import { putNetwork } from "./network/put-network.ts";
import { docsPage } from "./openapi/docs-page.ts";
import { getOpenapi } from "./openapi/get-openapi.ts";
import { postCorrection } from "./places/post-correction.ts";
import { postInstall } from "./places/post-install.ts";
import { postServiceability, postServiceabilityProfile } from "./places/post-serviceability.ts";
import { getPremises, getPremisesById } from "./premises/get-premises.ts";
import { postPremises } from "./premises/post-premises.ts";
import { postAdvice } from "./submissions/post-advice.ts";
import { postBatch } from "./submissions/post-batch.ts";
import { postComparison } from "./submissions/post-comparison.ts";
import { postCoverage } from "./submissions/post-coverage.ts";
import { postNetworkCoverage } from "./submissions/post-network-coverage.ts";

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
