import { createHash } from "node:crypto";
import { z } from "zod";
import { toCanonicalJson } from "./canonical.ts";
import {
  areaSchema,
  type CoverageRequest,
  coverageRequestSchema,
  cpeSchema,
  modelSchema,
  onAir,
  sectorSchema,
  siteSchema,
  terrainSchema,
} from "./coverage-request.ts";
import { listCrossProblems } from "./cross-checks.ts";
import { parseBody, refuse } from "./field-problems.ts";
import { describeTitle, documentVersion, id } from "./field-schemas.ts";
import { checkCoverageRequest } from "./parse-request.ts";

/** Everything a provider has on the air, as PUT /v1/network takes it. The first CPE is the default. */
export const networkSchema = z.strictObject({
  version: documentVersion,
  name: describeTitle(200).default("").describe("Name of the network, for titles"),
  terrain: terrainSchema.prefault({}).describe("Elevation data"),
  model: modelSchema.prefault({}).describe("Propagation and statistics"),
  zoom: z
    .int()
    .min(6)
    .max(16)
    .describe("Zoom of the web-map pyramid, the same for all coverages of the network so that their cells coincide"),
  sites: z.array(siteSchema).min(1).max(2000).describe("Places of the masts"),
  sectors: z.array(sectorSchema).min(1).max(6000).describe("Sectors on the sites"),
  cpes: z
    .array(cpeSchema.extend({ id }))
    .min(1)
    .max(32)
    .describe("Kinds of subscriber radio (CPE); the first is the default"),
  ...onAir,
});

export type NetworkDocument = z.output<typeof networkSchema>;

/** The part of a network to compute. */
export const networkCoverageSchema = z.strictObject({
  area: z.strictObject({ radiusM: areaSchema.shape.radiusM }).describe("What is mapped"),
  quality: coverageRequestSchema.shape.quality,
  outputs: coverageRequestSchema.shape.outputs,
  cpe: id.optional().describe("Id of the CPE that every place is assumed to have; if absent, the first of the network"),
});

export type NetworkCoverage = z.output<typeof networkCoverageSchema>;

/** The document in full, defaults filled in. Throws InputError that points to every field at fault. */
export function parseNetwork(body: unknown): NetworkDocument {
  const network = parseBody(networkSchema, body);
  const cpes = network.cpes.map(({ id, ...cpe }, index) => ({ pointer: `/cpes/${index}`, cpe, id }));
  refuse(listCrossProblems({ ...network, cpes }));
  return network;
}

export function parseNetworkCoverage(body: unknown): NetworkCoverage {
  return parseBody(networkCoverageSchema, body);
}

/** Name of a document's content: 'n' + the SHA-256 of its canonical JSON. */
export function computeNetworkVersion(canonicalDocument: string): string {
  return `n${createHash("sha256").update(canonicalDocument).digest("hex")}`;
}

/** The document as it is kept, with its version. */
export function toCanonicalNetwork(network: NetworkDocument): { document: string; version: string } {
  const document = toCanonicalJson(network);
  return { document, version: computeNetworkVersion(document) };
}

/** The coverage of a whole network. Throws InputError for an unknown CPE and where the work is too large. */
export function toCoverageRequest(network: NetworkDocument, coverage: NetworkCoverage): CoverageRequest {
  const request = buildRequest(network, coverage);
  checkCoverageRequest(request);
  return request;
}

/**
 * The same to answer single places from, which takes networks of any size: sectors serve within `radiusM`.
 * Throws InputError for an unknown CPE, at /cpe below `at`.
 */
export function buildAnswerRequest(
  network: NetworkDocument,
  { radiusM, cpe }: { radiusM: number; cpe?: string },
  at = "",
): CoverageRequest {
  const named = cpe !== undefined && { cpe };
  const coverage: NetworkCoverage = { area: { radiusM }, quality: "accurate", outputs: [], ...named };
  return buildRequest(network, coverage, at);
}

function buildRequest(network: NetworkDocument, coverage: NetworkCoverage, at = ""): CoverageRequest {
  const { cpes, zoom, subscribers: known, ...shared } = network;
  const { area, quality, outputs, cpe: cpeId } = coverage;
  const chosen = cpeId === undefined ? cpes[0] : cpes.find((candidate) => candidate.id === cpeId);
  if (!chosen) {
    const limit = cpes.map((one) => one.id).join(", ");
    refuse([{ pointer: `${at}/cpe`, detail: `there is no CPE "${cpeId}" in the network`, limit }]);
    throw new TypeError("a network has a CPE");
  }
  const { id: _id, ...cpe } = chosen;
  // What a subscriber's house is called and what was measured there alters no coverage.
  const subscribers = known.map(({ premises: _premises, measured: _measured, ...subscriber }) => subscriber);
  return { ...shared, subscribers, area: { ...area, zoom }, quality, outputs, cpe };
}

/** JSON Schema of the network document as it is sent. */
export function buildNetworkJsonSchema(): Record<string, unknown> {
  return z.toJSONSchema(networkSchema, { io: "input" });
}
