import type { Request } from "express";

/** The only tenant for now. */
export const DEFAULT_TENANT = "default";

/** Tenant of a request. Every call into ledger, store and queue passes it on. */
export function findTenant(_req: Request): string {
  return DEFAULT_TENANT;
}
