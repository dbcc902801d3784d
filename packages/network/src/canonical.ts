import { createHash } from "node:crypto";

/**
 * Canonical JSON: keys sorted by code unit, no white space, -0 as 0. Equal values give equal text.
 * Throws TypeError for NaN or an infinity, which JSON cannot hold.
 */
export function toCanonicalJson(value: unknown): string {
  return JSON.stringify(value, (_key, item) => {
    if (typeof item === "number" && !Number.isFinite(item)) throw new TypeError("canonical JSON holds finite numbers");
    return isRecord(item) ? sortByKey(item) : item;
  });
}

function isRecord(item: unknown): item is Record<string, unknown> {
  return typeof item === "object" && item !== null && !Array.isArray(item);
}

function sortByKey(record: Record<string, unknown>): Record<string, unknown> {
  return Object.fromEntries(Object.entries(record).sort(([a], [b]) => (a < b ? -1 : 1)));
}

export interface JobIdentity {
  tenant: string;
  canonicalRequest: string;
  modelVersion: string;
  terrainFingerprint: string;
}

/** Job id: 'j' + the SHA-256 of everything that decides the result, so the same question has the same id. */
export function computeJobId(identity: JobIdentity): string {
  const parts = [identity.tenant, identity.canonicalRequest, identity.modelVersion, identity.terrainFingerprint];
  return `j${createHash("sha256").update(JSON.stringify(parts)).digest("hex")}`;
}
