export * from "./antenna-parameters.ts";
export * from "./antenna-schema.ts";
export * from "./antenna-texts.ts";
export * from "./apply-changes.ts";
export { type AreaShape, type AreaShapes, listShapes } from "./area-shapes.ts";
export * from "./batch-request.ts";
export * from "./canonical.ts";
export * from "./changes.ts";
export * from "./comparison-request.ts";
export * from "./cost.ts";
export { estimateSeconds, MAX_JOB_S, sumSeconds } from "./cost-seconds.ts";
export * from "./coverage-request.ts";
export { parseBody } from "./field-problems.ts";
export { describeTitle } from "./field-schemas.ts";
export { findNetworkSlips, requestFindings } from "./findings/find-slips.ts";
export type { Finding, TerrainFacts } from "./findings/finding.ts";
export { parseJsonBody } from "./json-body.ts";
export { parseJsonText } from "./json-text.ts";
export {
  type AntennaKind,
  type CableClass,
  type ClutterClass,
  listAntennaKinds,
  listCableClasses,
  listClutterClasses,
  listPowerRules,
} from "./listings.ts";
export { CLUTTER_CLASSES, calibrationSchema } from "./model-schemas.ts";
export { findNearestName } from "./nearest-name.ts";
export * from "./network-document.ts";
export * from "./parse-request.ts";
export * from "./place-questions.ts";
export { readRadioTables } from "./radio-checks.ts";
export { FAR_SHIFT, MAX_REACH_M } from "./reach.ts";
export * from "./traffic-schemas.ts";
