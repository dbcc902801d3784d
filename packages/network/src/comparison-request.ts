import { type FieldProblem, InputError } from "@fellmark/units";
import { z } from "zod";
import { applyChanges } from "./apply-changes.ts";
import { changesSchema } from "./changes.ts";
import { type CoverageRequest, channelSchema, coverageRequestSchema } from "./coverage-request.ts";
import { parseBody } from "./field-problems.ts";
import { documentVersion, id, networkName, place } from "./field-schemas.ts";
import { type NetworkDocument, networkCoverageSchema, toCoverageRequest } from "./network-document.ts";
import { checkCoverageRequest, checkMapMethod } from "./parse-request.ts";
import { findRadioProblems } from "./radio-checks.ts";

/** A base that is composed from a network that was put: the current one, or one by its version. */
export const networkBaseSchema = networkCoverageSchema.extend({
  network: networkName,
});

export type NetworkBase = z.output<typeof networkBaseSchema>;

const baseSchema = z
  .union([networkBaseSchema, coverageRequestSchema])
  .describe("The coverage before the changes: a network that was put, or a coverage request");

/** Changes whose effects can be told one by one. */
const MOST_STEPS = 8;

/** Fields of a comparison besides its base. */
const comparison = {
  version: documentVersion,
  changes: changesSchema.describe("Changes, made in this order"),
  steps: z
    .boolean()
    .default(false)
    .describe(
      `True: tell the effect of each change after those before it as well; for at most ${MOST_STEPS} changes, each of which costs a coverage`,
    ),
  premises: z
    .array(z.tuple([place.lon, place.lat]))
    .max(200_000)
    .optional()
    .describe("Places to count, as [longitude, latitude] in degrees; results hold counts only"),
};

/** Fields of channel advice besides its base. */
const advice = {
  version: documentVersion,
  channels: z.array(channelSchema).min(1).max(64).describe("Channels and widths that may be used"),
  sectors: z.array(id).min(1).max(128).optional().describe("Ids of the sectors that may change; if absent, all"),
  growthPerMonth: z
    .number()
    .min(0)
    .max(1)
    .optional()
    .describe("Growth of the subscribers of every sector a month, as a share; if absent, that of the base"),
  seed: z.int().min(0).max(4_294_967_295).default(1).describe("Seed of the search; equal seeds give equal advice"),
};

/** The body of POST /v1/comparisons. */
export const comparisonBodySchema = z.strictObject({ ...comparison, base: baseSchema });
/** The body of POST /v1/advice. */
export const adviceBodySchema = z.strictObject({ ...advice, base: baseSchema });

/** A comparison as it is stored and computed: its base stands in it whole. */
export const comparisonRequestSchema = z.strictObject({
  ...comparison,
  base: coverageRequestSchema.describe("The coverage before the changes"),
});
/** Channel advice as it is stored and computed: its base stands in it whole. */
export const adviceRequestSchema = z.strictObject({
  ...advice,
  base: coverageRequestSchema.describe("The coverage before the changes"),
});

export type ComparisonRequest = z.output<typeof comparisonRequestSchema>;
export type AdviceRequest = z.output<typeof adviceRequestSchema>;

/** The base of a body, as it was sent. */
export type Base = CoverageRequest | NetworkBase;

export function parseComparisonBody(body: unknown): Omit<ComparisonRequest, "base"> & { base: Base } {
  return parseBody(comparisonBodySchema, body);
}

export function parseAdviceBody(body: unknown): Omit<AdviceRequest, "base"> & { base: Base } {
  return parseBody(adviceBodySchema, body);
}

/** The coverage that a base composed from `network` asks for. Throws InputError below /base. */
export function composeBase(
  network: NetworkDocument,
  { network: _version, ...coverage }: NetworkBase,
): CoverageRequest {
  try {
    return toCoverageRequest(network, coverage);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const problems = error.problems.map((problem) => ({ ...problem, pointer: `/base${problem.pointer}` }));
    throw new InputError(problems, error.code);
  }
}

/** Throws InputError that points to every field at fault. */
export function parseComparisonRequest(body: unknown): ComparisonRequest {
  const request = parseBody(comparisonRequestSchema, body);
  checkComparison(request);
  return request;
}

/** Throws InputError that points to every field at fault. */
export function parseAdviceRequest(body: unknown): AdviceRequest {
  const request = parseBody(adviceRequestSchema, body);
  checkAdvice(request);
  return request;
}

export function checkComparison(request: ComparisonRequest): void {
  if (request.steps && request.changes.length > MOST_STEPS) {
    const detail = `the effect of each of ${request.changes.length} changes costs a coverage`;
    throw new InputError([{ pointer: "/changes", detail, limit: MOST_STEPS }]);
  }
  checkCoverageRequest(request.base, "/base");
  checkMapMethod(request.base, "/base");
  applyChanges(request.base, request.changes);
}

export function checkAdvice({ base, sectors, channels }: AdviceRequest): void {
  checkCoverageRequest(base, "/base");
  checkMapMethod(base, "/base");
  const known = new Set(base.sectors.map((sector) => sector.id));
  const unknown = (sectors ?? []).flatMap((sector, index) =>
    known.has(sector) ? [] : [{ pointer: `/sectors/${index}`, detail: `there is no sector "${sector}" in the base` }],
  );
  const seen = new Set<string>();
  const twice = channels.flatMap(({ centreMhz, widthMhz }, index) => {
    const isKnown = seen.has(`${centreMhz} ${widthMhz}`);
    seen.add(`${centreMhz} ${widthMhz}`);
    return isKnown ? [{ pointer: `/channels/${index}`, detail: "the channel stands twice" }] : [];
  });
  const unfit = channels.flatMap((channel, index) => {
    const moved = base.sectors.filter(({ id: sector }) => sectors?.includes(sector) ?? true);
    return findUnfitChannel(
      base,
      moved.map((sector) => ({ ...sector, channel })),
      `/channels/${index}/widthMhz`,
    );
  });
  const problems = [...unknown, ...twice, ...unfit];
  if (problems.length > 0) throw new InputError(problems);
}

/** Returns the first problem of a channel that a sector would move to: a radio without that width. */
function findUnfitChannel(
  { radios, cpe }: CoverageRequest,
  sectors: CoverageRequest["sectors"],
  pointer: string,
): FieldProblem[] {
  const problems = findRadioProblems({ radios, sectors, cpes: [{ pointer: "/cpe", cpe }] });
  return problems.slice(0, 1).map((problem) => ({ ...problem, pointer }));
}
