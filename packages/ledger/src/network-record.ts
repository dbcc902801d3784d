/** A network document that a tenant put. The one with the highest number is the current one. */
export interface NetworkRecord {
  tenant: string;
  /** Counts the documents that the tenant put, from 1. */
  number: number;
  /** 'n' + sha256 of the document: equal documents have the same. */
  version: string;
  /** Canonical JSON. */
  document: string;
  /** Milliseconds since the epoch. */
  createdAtMs: number;
}

export type NewNetwork = Pick<NetworkRecord, "tenant" | "version" | "document">;

export type NetworkSummary = Omit<NetworkRecord, "document">;

/**
 * The networks of all tenants; no tenant sees another's. Of each tenant the last KEPT_NETWORKS documents are kept, and
 * older ones that a queued or running job names.
 */
export interface NetworkShelf {
  /**
   * Makes the document the current one; one that already is stays as it is. `replaces`: the version that must be current.
   * Throws FellmarkError 'precondition_failed' where another is.
   */
  putNetwork(network: NewNetwork, replaces?: string): Promise<{ network: NetworkRecord; created: boolean }>;
  findCurrentNetwork(tenant: string): Promise<NetworkRecord | undefined>;
  findNetwork(tenant: string, version: string): Promise<NetworkRecord | undefined>;
  /** Newest first. */
  listNetworks(tenant: string): Promise<NetworkSummary[]>;
}
