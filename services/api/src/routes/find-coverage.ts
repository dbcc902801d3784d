import type { JobRecord, Ledger } from "@fellmark/ledger";
import { NotFoundError } from "@fellmark/units";
import type { Request } from "express";
import { tenantOf } from "../tenant.ts";

/** One answer for an unknown id, a malformed one and another tenant's. */
export function noSuchCoverage(): NotFoundError {
  return new NotFoundError("there is no such coverage");
}

/** The id in the address. Throws NotFoundError for what cannot be one. */
export function coverageIdOf(req: Request): string {
  const id = req.params.id;
  if (typeof id !== "string" || !/^j[0-9a-f]{64}$/.test(id)) throw noSuchCoverage();
  return id;
}

/** The row that the address names. Throws NotFoundError when the tenant has none. */
export async function findCoverage(ledger: Pick<Ledger, "find">, req: Request): Promise<JobRecord> {
  const job = await ledger.find(tenantOf(req), coverageIdOf(req));
  if (!job) throw noSuchCoverage();
  return job;
}
