import express, { type Express } from "express";
import { getAntennaKinds, getCableClasses, getClutterClasses, getRules } from "./catalogue/get-lists.ts";
import { postAntennaParameters } from "./catalogue/post-antenna-parameters.ts";
import type { ApiContext } from "./context.ts";
import { getLive, getReady } from "./health/get-health.ts";
import { getMetrics } from "./health/get-metrics.ts";
import { allowHosts } from "./http/allowed-hosts.ts";
import { limitBodyTime } from "./http/body-time.ts";
import { MAX_NETWORK_BYTES } from "./http/json-body.ts";
import { answerProblem, refuseUnknownEndpoint } from "./http/problem.ts";
import { createSecureHeaders, limitRate, logRequests } from "./http/protection.ts";
import { addRoutes, compressReply, type RouteTable, readJsonBodyFirst } from "./http/route-table.ts";
import { ADVICE_FILES, BATCH_FILES, COMPARISON_FILES, COVERAGE_FILES } from "./jobs/get-result.ts";
import { createJobRoutes } from "./jobs/job-routes.ts";
import { listJobs } from "./jobs/list-jobs.ts";
import { answerPreflight } from "./layers/admit-reader.ts";
import { LAYER_ROUTES, PREFLIGHT_PATHS } from "./layers/layer-routes.ts";
import { getNetwork, getNetworkSchema, getNetworkVersion, getNetworkVersions } from "./network/get-network.ts";
import { putNetwork } from "./network/put-network.ts";
import { createDocsPage } from "./openapi/docs-page.ts";
import { getOpenapi } from "./openapi/get-openapi.ts";
import { getLandingPage } from "./openapi/landing-page.ts";
import { postCalibration } from "./places/post-calibration.ts";
import { postInstall } from "./places/post-install.ts";
import { postServiceability, postServiceabilityProfile } from "./places/post-serviceability.ts";
import { getPremises, getPremisesById } from "./premises/get-premises.ts";
import { postPremises } from "./premises/post-premises.ts";
import { postSubmission } from "./submissions/post-submission.ts";

/** Routes for whoever runs the service; on a port of their own where one is set. */
const OPERATIONS: RouteTable = {
  "/health/ready": { get: getReady },
  "/metrics": { get: getMetrics },
};

const PUBLIC: RouteTable = {
  "/": { get: getLandingPage },
  "/health/live": { get: getLive },
  "/openapi.json": { get: compressReply(getOpenapi) },

  "/v1/network": { get: compressReply(getNetwork), put: readJsonBodyFirst(putNetwork, MAX_NETWORK_BYTES) },
  "/v1/network/schema": { get: compressReply(getNetworkSchema) },
  "/v1/network/versions": { get: getNetworkVersions },
  "/v1/network/versions/:version": { get: compressReply(getNetworkVersion) },
  "/v1/network/coverages": { post: readJsonBodyFirst(postSubmission("network-coverage")) },

  "/v1/coverages": { get: listJobs("coverage"), post: readJsonBodyFirst(postSubmission("coverage")) },
  ...createJobRoutes("coverage", COVERAGE_FILES),
  "/v1/comparisons": {
    get: listJobs("comparison"),
    post: readJsonBodyFirst(postSubmission("comparison"), MAX_NETWORK_BYTES),
  },
  ...createJobRoutes("comparison", COMPARISON_FILES),
  "/v1/advice": { get: listJobs("advice"), post: readJsonBodyFirst(postSubmission("advice"), MAX_NETWORK_BYTES) },
  ...createJobRoutes("advice", ADVICE_FILES),
  "/v1/batches": { get: listJobs("batch"), post: readJsonBodyFirst(postSubmission("batch"), MAX_NETWORK_BYTES) },
  ...createJobRoutes("batch", BATCH_FILES),

  "/v1/serviceability": { post: readJsonBodyFirst(postServiceability) },
  "/v1/serviceability/profile": { post: readJsonBodyFirst(postServiceabilityProfile) },
  "/v1/installs": { post: readJsonBodyFirst(postInstall) },
  "/v1/calibrations": { post: readJsonBodyFirst(postCalibration, MAX_NETWORK_BYTES) },

  "/v1/premises": { get: getPremises, post: postPremises },
  "/v1/premises/:id": { get: getPremisesById },

  ...LAYER_ROUTES,

  "/v1/rules": { get: compressReply(getRules) },
  "/v1/antenna-kinds": { get: compressReply(getAntennaKinds) },
  "/v1/cable-classes": { get: getCableClasses },
  "/v1/clutter-classes": { get: getClutterClasses },
  "/v1/antennas/parameters": { post: readJsonBodyFirst(postAntennaParameters) },
};

export const ROUTES: RouteTable = { ...PUBLIC, ...OPERATIONS };

/** The HTTP service. Starts nothing. */
export function createApp(context: ApiContext): Express {
  const { config } = context;
  return createService(context, (app) => {
    app.use(
      allowHosts(config.allowedHosts),
      limitBodyTime({ totalMs: config.timeouts.bodyMs, silenceMs: config.timeouts.bodyMs }),
    );
    app.use("/docs", createDocsPage());
    app.use("/v1", limitRate(config.maxRequestsPerMinute));
    for (const path of PREFLIGHT_PATHS) app.options(path, answerPreflight(context));
    addRoutes(app, context, config.operationsPort === undefined ? ROUTES : PUBLIC);
  });
}

/** Metrics and health alone, for a port of their own. Starts nothing. */
export function createOperationsApp(context: ApiContext): Express {
  return createService(context, (app) => addRoutes(app, context, { "/health/live": { get: getLive }, ...OPERATIONS }));
}

function createService(context: ApiContext, addOwn: (app: Express) => void): Express {
  const app = express();
  app.set("trust proxy", context.config.trustedProxies);
  app.disable("etag");
  app.use(logRequests(context.logger), context.metrics.measure, createSecureHeaders());
  addOwn(app);
  app.use(refuseUnknownEndpoint);
  app.use(answerProblem);
  return app;
}
