export { antennaParametersSchema, parseAntennaParameters } from "./antenna-parameters.ts";
export { type AntennaSpec, toDescription } from "./antenna-schema.ts";
export { type AntennaText, checkAntennaTexts, listAntennaTexts, listChangedTexts } from "./antenna-texts.ts";
export { applyChanges } from "./apply-changes.ts";
export { listShapes } from "./area-shapes.ts";
export {
  type BatchRequest,
  batchBodySchema,
  checkBatch,
  parseBatchBody,
  parseBatchRequest,
  requestOfBatch,
} from "./batch-request.ts";
export { computeJobId, toCanonicalJson } from "./canonical.ts";
export { type Change, changesSchema } from "./changes.ts";
export {
  type AdviceRequest,
  adviceBodySchema,
  type Base,
  type ComparisonRequest,
  checkAdvice,
  checkComparison,
  comparisonBodySchema,
  composeBase,
  parseAdviceBody,
  parseAdviceRequest,
  parseComparisonBody,
  parseComparisonRequest,
} from "./comparison-request.ts";
export { findWindow, findZoom } from "./cost.ts";
export { estimateSeconds, sumSeconds } from "./cost-seconds.ts";
export {
  type CoverageRequest,
  type CpeSpec,
  coverageRequestSchema,
  type EmitterSpec,
  type ModelSpec,
  type PlanSpec,
  type RadioSpec,
  type ScanSpec,
  type SectorSpec,
  type SiteSpec,
  type SubscriberSpec,
  UNSTATED_TIMING,
} from "./coverage-request.ts";
export { parseBody } from "./field-problems.ts";
export { describeTitle } from "./field-schemas.ts";
export { findNetworkSlips, requestFindings } from "./findings/find-slips.ts";
export type { Finding, TerrainFacts } from "./findings/finding.ts";
export { parseJsonBody } from "./json-body.ts";
export { parseJsonText } from "./json-text.ts";
export { listAntennaKinds, listCableClasses, listClutterClasses, listPowerRules } from "./listings.ts";
export { CLUTTER_CLASSES, calibrationSchema } from "./model-schemas.ts";
export { findNearestName } from "./nearest-name.ts";
export {
  buildAnswerRequest,
  buildNetworkJsonSchema,
  computeNetworkVersion,
  type NetworkDocument,
  networkCoverageSchema,
  networkSchema,
  parseNetwork,
  parseNetworkCoverage,
  toCanonicalNetwork,
  toCoverageRequest,
} from "./network-document.ts";
export { checkMapMethod, parseCoverageRequest } from "./parse-request.ts";
export {
  type CalibrationBody,
  calibrationBodySchema,
  DEFAULT_RADIUS_M,
  installBodySchema,
  MAX_MEASURED_LINKS,
  type MeasuredRow,
  measuredRowSchema,
  type PlaceSpec,
  parseCalibrationBody,
  parseInstallBody,
  parseMeasuredRows,
  parseServiceabilityBody,
  type ServiceabilityBody,
  serviceabilityBodySchema,
} from "./place-questions.ts";
export { readRadioTables } from "./radio-checks.ts";
export { FAR_SHIFT, MAX_REACH_M } from "./reach.ts";
export { findSectorTraffic, type TrafficSpec, trafficSchema } from "./traffic-schemas.ts";
