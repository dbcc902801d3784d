import type { JobKind, JobRecord, Ledger } from "@fellmark/ledger";
import { NotFoundError } from "@fellmark/units";
import type { Request } from "express";
import { findTenant } from "../http/tenant.ts";

/** One answer for an unknown id, a malformed one, one of another kind and another tenant's. */
export function createJobNotFound(kind: JobKind): NotFoundError {
  return new NotFoundError(`not found: no such ${kind}`);
}

/** The id in the address. Throws NotFoundError for what cannot be one. */
function readJobId(req: Request, kind: JobKind): string {
  const id = req.params.id;
  if (typeof id !== "string" || !/^j[0-9a-f]{64}$/.test(id)) throw createJobNotFound(kind);
  return id;
}

/** The row that the address names. Throws NotFoundError when the tenant has none of that kind. */
export async function findJob(ledger: Pick<Ledger, "find">, req: Request, kind: JobKind): Promise<JobRecord> {
  const job = await ledger.find(findTenant(req), readJobId(req, kind));
  if (job?.kind !== kind) throw createJobNotFound(kind);
  return job;
}
