import type { Request } from "express";

/** The only tenant for now. */
export const DEFAULT_TENANT = "default";

/** Whose request it is. Every call into ledger, store and queue carries what this returns. */
export function tenantOf(_req: Request): string {
  return DEFAULT_TENANT;
}
