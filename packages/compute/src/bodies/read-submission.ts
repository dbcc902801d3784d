import {
  type AntennaText,
  type Base,
  type CoverageRequest,
  checkAdvice,
  checkAntennaTexts,
  checkBatch,
  checkComparison,
  checkMapMethod,
  composeBase,
  computeNetworkVersion,
  estimateSeconds,
  type Finding,
  listAntennaTexts,
  listChangedTexts,
  type NetworkDocument,
  parseAdviceBody,
  parseBatchBody,
  parseComparisonBody,
  parseCoverageRequest,
  parseJsonBody,
  parseNetwork,
  parseNetworkCoverage,
  requestFindings,
  requestOfBatch,
  sumSeconds,
  type TerrainFacts,
  toCanonicalJson,
  toCoverageRequest,
} from "@fellmark/network";
import { selectQuestion, type TerrainQuestion } from "../terrain-facts.ts";

/** The bodies that submit a job. */
export type SubmissionForm = "coverage" | "network-coverage" | "comparison" | "advice" | "batch";

/** The bytes of a body that submits a job, and what it refers to. */
export interface SentSubmission {
  form: SubmissionForm;
  body: Uint8Array;
  /** JSON of the network that the body names, once it was asked for. */
  network?: string;
  /** Version of the list of premises in which a batch looks up addresses; null: there is none. */
  premises: string | null;
}

/** A submission that is checked. */
export interface CheckedSubmission {
  /** Canonical JSON of what the worker will compute. */
  canonicalRequest: string;
  /** Name of the coverage. */
  name: string;
  /** Seconds of one core that the job is foreseen to take. */
  costS: number;
  /** Its masts and sets, for the terrain. */
  question: TerrainQuestion;
  /** JSON pointer, in the body, of the coverage that the question is about. */
  at: string;
}

/** The network that a body names, "current" or a version, and the JSON pointer of that name; null where no field says it. */
export interface NamedNetwork {
  network: string;
  pointer: string | null;
}

/** The job to queue, the coverage whose masts must stand on known ground, its pointer, and the texts of pattern files. */
interface Submission {
  request: object;
  coverage: CoverageRequest;
  at: string;
  texts: AntennaText[];
}

/** A network that was put, with its version. */
type Network = { document: NetworkDocument; version: string } | undefined;

/**
 * Reads and checks the body of a submission. Replies with the name of the network where one is needed: call again with it.
 * Throws `malformed_json`, and InputError for fields and for texts of antennas.
 */
export async function readSubmission(sent: SentSubmission): Promise<CheckedSubmission | NamedNetwork> {
  const network = sent.network === undefined ? undefined : readNetwork(sent.network);
  const read = READERS[sent.form](parseJsonBody(sent.body), network, sent.premises);
  if ("network" in read) return read;
  const { request, coverage, at, texts } = read;
  await checkAntennaTexts(texts);
  const costS = MAPS_OF_FORM[sent.form] * sumSeconds(estimateSeconds(coverage));
  const canonicalRequest = toCanonicalJson(request);
  return { canonicalRequest, name: coverage.name, costS, question: selectQuestion(coverage), at };
}

function readNetwork(canonicalDocument: string): NonNullable<Network> {
  return { document: parseNetwork(JSON.parse(canonicalDocument)), version: computeNetworkVersion(canonicalDocument) };
}

/** Coverages that a job makes, or takes as long as. */
const MAPS_OF_FORM: Readonly<Record<SubmissionForm, number>> = {
  coverage: 1,
  "network-coverage": 1,
  comparison: 2,
  advice: 2,
  batch: 1,
};

const READERS: Readonly<
  Record<SubmissionForm, (value: unknown, network: Network, premises: string | null) => Submission | NamedNetwork>
> = {
  coverage(value) {
    const request = parseCoverageRequest(value);
    checkMapMethod(request);
    return { request, coverage: request, at: "", texts: listAntennaTexts(request) };
  },
  "network-coverage"(value, network) {
    const coverage = parseNetworkCoverage(value);
    if (!network) return { network: "current", pointer: null };
    const request = { ...toCoverageRequest(network.document, coverage), networkVersion: network.version };
    checkMapMethod(request);
    return { request, coverage: request, at: "", texts: [] };
  },
  comparison(value, network) {
    const body = parseComparisonBody(value);
    const based = findBase(body.base, network);
    if (!("base" in based)) return based;
    const request = { ...body, base: based.base };
    checkComparison(request);
    const texts = [...based.texts, ...listChangedTexts(body.changes, based.base)];
    return { request, coverage: based.base, at: "/base", texts };
  },
  advice(value, network) {
    const body = parseAdviceBody(value);
    const based = findBase(body.base, network);
    if (!("base" in based)) return based;
    const request = { ...body, base: based.base };
    checkAdvice(request);
    return { request, coverage: based.base, at: "/base", texts: based.texts };
  },
  batch(value, known, premises) {
    const { source, ...body } = parseBatchBody(value);
    if ("request" in source) {
      const request = { ...body, source, premises };
      checkBatch(request);
      return {
        request,
        coverage: source.request,
        at: "/source",
        texts: listAntennaTexts(source.request, "/source/request"),
      };
    }
    const { network, ...asked } = source;
    if (!known) return { network, pointer: network === "current" ? null : "/source/network" };
    // The network stands in the job whole: a later one does not alter it.
    const request = { ...body, source: { document: known.document, ...asked }, premises };
    checkBatch(request);
    return { request, coverage: requestOfBatch(request), at: "/source", texts: [] };
  },
};

/** Returns the coverage that a base stands for, with its own texts: those of a network that was put were read then. */
function findBase(base: Base, network: Network): { base: CoverageRequest; texts: AntennaText[] } | NamedNetwork {
  if (!("network" in base)) return { base, texts: listAntennaTexts(base, "/base") };
  if (!network) return { network: base.network, pointer: "/base/network" };
  return { base: { ...composeBase(network.document, base), networkVersion: network.version }, texts: [] };
}

/** A submission that was checked, and the terrain that its coverage is checked against. */
export interface SubmissionSlips {
  form: SubmissionForm;
  canonicalRequest: string;
  facts?: TerrainFacts | undefined;
}

/** Finds the slips in the coverage of a submission. */
export function findSubmissionSlips({ form, canonicalRequest, facts }: SubmissionSlips): Finding[] {
  const request = JSON.parse(canonicalRequest);
  const coverage = form === "batch" ? requestOfBatch(request) : (request.base ?? request);
  return requestFindings(coverage, facts);
}
