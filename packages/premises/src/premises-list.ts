import type { LonLat } from "@fellmark/geodesy";
import { openPremisesFile, type PremisesReader } from "@fellmark/ledger";
import Flatbush from "flatbush";
import type { Premises } from "./premises.ts";
import { findNearestPremises, type NearPremises } from "./search/nearest.ts";
import { type SearchOptions, type SearchResult, searchAddresses } from "./search/search.ts";
import { createVocabulary } from "./search/vocabulary.ts";

/** A tenant's premises at the time the list was opened. Every query takes milliseconds. */
export interface PremisesList {
  version: string;
  count: number;
  search(query: string, options?: Partial<SearchOptions>): SearchResult;
  nearest(at: LonLat, count: number): NearPremises[];
  withId(id: string): Premises | undefined;
  isCurrent(): boolean;
  close(): void;
}

const DEFAULT_LIMIT = 10;

/** Opens a tenant's premises below a folder; undefined where none were imported. */
export async function openPremisesList(dir: string, tenant: string): Promise<PremisesList | undefined> {
  const file = await openPremisesFile(dir, tenant);
  return file && createPremisesList(file);
}

function createPremisesList(file: PremisesReader): PremisesList {
  const vocabulary = createVocabulary(file.listWords(), file.count);
  const index = Flatbush.from(copyToBuffer(file.readPointIndex()));
  return {
    version: file.version,
    count: file.count,
    search: (query, options = {}) =>
      searchAddresses(file, vocabulary, query, { isTyping: false, limit: DEFAULT_LIMIT, ...options }),
    nearest: (at, count) => findNearestPremises(file, index, at, count),
    withId(id) {
      const found = file.findById(id);
      if (!found) return undefined;
      const { words: _words, ...premises } = found;
      return premises;
    },
    isCurrent: () => file.isCurrent(),
    close: () => file.close(),
  };
}

function copyToBuffer(bytes: Uint8Array): ArrayBuffer {
  return new Uint8Array(bytes).buffer;
}

/** Lists of all tenants, each opened on first use and again after an import. */
export interface PremisesShelf {
  /** Undefined where the tenant has none. */
  list(tenant: string): Promise<PremisesList | undefined>;
  close(): void;
}

export function openPremisesShelf(dir: string): PremisesShelf {
  const open = new Map<string, Promise<PremisesList | undefined>>();

  function reopen(tenant: string): Promise<PremisesList | undefined> {
    const opening = openPremisesList(dir, tenant);
    open.set(tenant, opening);
    opening.catch(() => open.delete(tenant));
    return opening;
  }

  return {
    async list(tenant) {
      const opened = open.get(tenant);
      const known = await opened;
      if (known?.isCurrent()) return known;
      if (open.get(tenant) !== opened) return open.get(tenant);
      // A caller that received it a moment ago may still use it.
      setImmediate(() => known?.close());
      return reopen(tenant);
    },
    close() {
      const nothing = () => undefined;
      for (const opening of open.values()) opening.then((list) => list?.close(), nothing);
      open.clear();
    },
  };
}
