import path from "node:path";
import { checkTenant } from "./job-key.ts";

/** A tenant's list of premises lies beside the ledger, in a file of its own: a long import locks nothing. */
export function toPremisesPath(dir: string, tenant: string): string {
  checkTenant(tenant);
  return path.join(path.resolve(dir), `${tenant}.sqlite`);
}
