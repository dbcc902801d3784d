import {
  type AnsweringNetwork,
  createSubscriberRates,
  listMeasuredSubscribers,
  openAnsweringNetwork,
  type SubscriberRates,
} from "@fellmark/answers";
import { type Engine, MODEL_VERSION } from "@fellmark/coverage";
import {
  buildAnswerRequest,
  type CoverageRequest,
  type MeasuredRow,
  type NetworkDocument,
  parseNetwork,
  toCanonicalJson,
} from "@fellmark/network";
import { FellmarkError } from "@fellmark/units";
import { chooseOpenedRadiusM } from "./opened-radius.ts";
import { createRecentCatalogues } from "./recent-catalogue.ts";

/** A source as it goes to the child: of a kept network its version, and the document once the child asked for it. */
export type SourceMessage =
  | { request: CoverageRequest }
  | { version: string; document?: string; radiusM: number; cpe?: string };

/** A network that is open over its terrain. */
export interface OpenNetwork {
  network: AnsweringNetwork;
  rates: SubscriberRates;
  /** Links of the subscribers of whom a level was measured. */
  measured: MeasuredRow[];
  inputs: InputVersions;
}

/** Versions that an answer rests on; network: of a stored one. */
export interface InputVersions {
  model: string;
  terrain: string;
  network: string | null;
}

type AsModelled = "with-calibration" | "bare";

export interface AnsweringNetworks {
  /**
   * The network of a source, opened at most once while it is kept; bare: without calibration, for its levels only.
   * Throws FellmarkError `network_not_held` where only the version of an unknown network is given.
   */
  open(source: SourceMessage, terrainDir: string, asModelled?: AsModelled): Promise<OpenNetwork>;
}

/** Networks that are kept, open and as documents: the last ones asked. Each holds terrain and patterns, some 100 MB at most. */
const KEPT = 4;

export function createAnsweringNetworks(warmEngine: () => Promise<Engine>): AnsweringNetworks {
  const documents = new Map<string, NetworkDocument>();
  const opened = new Map<string, Promise<OpenNetwork>>();
  const catalogueOf = createRecentCatalogues();

  function documentOf(version: string, document: string | undefined): NetworkDocument {
    const known = documents.get(version);
    if (!known && document === undefined) throw new FellmarkError("network_not_held", "the document is asked for");
    const network = known ?? parseNetwork(JSON.parse(document as string));
    keep(documents, version, network);
    return network;
  }

  async function openOnce(source: SourceMessage, terrainDir: string, asModelled: AsModelled): Promise<OpenNetwork> {
    const catalogue = await catalogueOf(terrainDir);
    const key = toCanonicalJson([catalogue.fingerprint, terrainDir, asModelled, dropDocument(source)]);
    const known = opened.get(key);
    if (known) {
      keep(opened, key, known);
      return known;
    }
    const { request, cpes, measured, version } = buildAnsweringRequest(source, documentOf);
    const inputs = { model: MODEL_VERSION, terrain: catalogue.fingerprint, network: version };
    const asked = asModelled === "bare" ? { ...request, model: { ...request.model, calibration: null } } : request;
    const opening = warmEngine()
      .then((engine) => openAnsweringNetwork(engine, catalogue, asked, { cpes, levelsOnly: asModelled === "bare" }))
      .then((network) => ({ network, rates: createSubscriberRates(network), measured, inputs }));
    keep(opened, key, opening);
    // What could not be opened is tried again.
    opening.catch(() => opened.delete(key));
    return opening;
  }

  return {
    async open(source, terrainDir, asModelled = "with-calibration") {
      if ("request" in source) return openOnce(source, terrainDir, asModelled);
      const { radiusM } = source;
      try {
        const wide = { ...source, radiusM: chooseOpenedRadiusM(radiusM) };
        return narrowRange(await openOnce(wide, terrainDir, asModelled), radiusM);
      } catch (error) {
        if (!(error instanceof FellmarkError) || error.code !== "terrain_too_fine") throw error;
        return openOnce(source, terrainDir, asModelled);
      }
    },
  };
}

function dropDocument(source: SourceMessage): SourceMessage {
  if ("request" in source) return source;
  const { document: _sent, ...named } = source;
  return named;
}

/** Narrows an opened network to a smaller service radius. */
function narrowRange(open: OpenNetwork, radiusM: number): OpenNetwork {
  const { request, cpes, ask } = open.network;
  const narrowed = { ...request, area: { ...request.area, radiusM } };
  const network: AnsweringNetwork = {
    request: narrowed,
    cpes,
    ask: (at, question) => ask(at, { ...question, radiusM }),
  };
  return { ...open, network };
}

function buildAnsweringRequest(
  source: SourceMessage,
  documentOf: (version: string, document: string | undefined) => NetworkDocument,
) {
  if ("request" in source) {
    const { request } = source;
    return { request, cpes: new Map(), measured: listMeasuredSubscribers(request), version: null };
  }
  const { version, document, radiusM, cpe } = source;
  const network = documentOf(version, document);
  const request = buildAnswerRequest(network, { radiusM, ...(cpe !== undefined && { cpe }) });
  const cpes = new Map(network.cpes.map(({ id, ...spec }) => [id, spec]));
  return { request, cpes, measured: listMeasuredSubscribers(network), version };
}

/** Puts an entry last, and drops the first beyond what is kept. */
function keep<Value>(entries: Map<string, Value>, key: string, value: Value): void {
  entries.delete(key);
  entries.set(key, value);
  for (const oldest of entries.keys()) {
    if (entries.size <= KEPT) return;
    entries.delete(oldest);
  }
}
