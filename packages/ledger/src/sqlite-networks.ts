import { FellmarkError } from "@fellmark/units";
import { type Kysely, type RawBuilder, sql, type Transaction } from "kysely";
import { checkTenant } from "./job-key.ts";
import type { NetworkLimits } from "./job-record.ts";
import type { NetworkRecord, NetworkSummary, NewNetwork } from "./network-record.ts";
import type { NetworkRow, Schema } from "./schema.ts";
import { retryWhileBusy } from "./sqlite-file.ts";

/** Documents that a tenant keeps; older ones go, unless a job that has not ended names them. */
export const KEPT_NETWORKS = 100;

/** See NetworkShelf. One statement looks and writes, so that of two writers who replace the same version one fails. */
export async function putNetwork(
  db: Kysely<Schema>,
  { tenant, version, document }: NewNetwork,
  replaces?: string,
): Promise<{ network: NetworkRecord; created: boolean }> {
  checkTenant(tenant);
  const current = sql`(SELECT version FROM networks WHERE tenant = ${tenant} ORDER BY number DESC LIMIT 1)`;
  const insert = sql<NetworkRow>`
    INSERT INTO networks (tenant, number, version, document, createdAtMs)
    SELECT ${tenant}, 1 + coalesce((SELECT max(number) FROM networks WHERE tenant = ${tenant}), 0),
      ${version}, ${document}, ${Date.now()}
    WHERE ${current} IS NOT ${version} AND (${replaces ?? null} IS NULL OR ${current} IS ${replaces ?? null})
    RETURNING *`;
  const added = await retryWhileBusy(() => db.transaction().execute((change) => addNetwork(change, insert, tenant)));
  if (added) return { network: added, created: true };
  const known = await findCurrentNetwork(db, tenant);
  if (known?.version === version && (replaces ?? version) === version) return { network: known, created: false };
  throw new FellmarkError("precondition_failed", "another version of the network is the current one");
}

export function findCurrentNetwork(db: Kysely<Schema>, tenant: string): Promise<NetworkRecord | undefined> {
  const query = db.selectFrom("networks").selectAll().where("tenant", "=", tenant).orderBy("number", "desc").limit(1);
  return retryWhileBusy(() => query.executeTakeFirst());
}

export function findNetwork(db: Kysely<Schema>, tenant: string, version: string): Promise<NetworkRecord | undefined> {
  const query = db
    .selectFrom("networks")
    .selectAll()
    .where("tenant", "=", tenant)
    .where("version", "=", version)
    .orderBy("number", "desc")
    .limit(1);
  return retryWhileBusy(() => query.executeTakeFirst());
}

export function listNetworks(db: Kysely<Schema>, tenant: string): Promise<NetworkSummary[]> {
  const query = db
    .selectFrom("networks")
    .select(["tenant", "number", "version", "createdAtMs"])
    .where("tenant", "=", tenant)
    .orderBy("number", "desc");
  return retryWhileBusy(() => query.execute());
}

async function addNetwork(
  db: Transaction<Schema>,
  insert: RawBuilder<NetworkRow>,
  tenant: string,
): Promise<NetworkRow | undefined> {
  const [added] = (await insert.execute(db)).rows;
  if (added) await dropOldNetworks(db, tenant);
  return added;
}

/** See WorkerLedger.trimNetworks. */
export async function trimNetworks(db: Kysely<Schema>, { putBeforeMs, maxBytes }: NetworkLimits): Promise<number> {
  const remove = sql<{ number: number }>`
    DELETE FROM networks
    WHERE (tenant, number) IN (
        SELECT tenant, number FROM (
          SELECT tenant, number, createdAtMs,
            max(number) OVER (PARTITION BY tenant) AS newest,
            sum(length(CAST(document AS BLOB))) OVER (PARTITION BY tenant ORDER BY number DESC) AS bytes
          FROM networks)
        WHERE number < newest AND (createdAtMs < ${putBeforeMs} OR bytes > ${maxBytes}))
      AND ${isUnnamed}
    RETURNING number`;
  return (await retryWhileBusy(() => remove.execute(db))).rows.length;
}

/**
 * No job that is queued or running names the version. It is the hash of the document, so where it stands anywhere in a
 * request it does not stand there by chance.
 */
const isUnnamed = sql<boolean>`NOT EXISTS (
  SELECT 1 FROM jobs JOIN requests USING (tenant, id)
  WHERE jobs.tenant = networks.tenant AND jobs.state IN ('queued', 'running')
    AND instr(requests.request, networks.version) > 0)`;

/** Drops what lies more than KEPT_NETWORKS numbers back. */
async function dropOldNetworks(db: Transaction<Schema>, tenant: string): Promise<void> {
  await sql`
    DELETE FROM networks
    WHERE tenant = ${tenant}
      AND number <= (SELECT max(number) FROM networks WHERE tenant = ${tenant}) - ${KEPT_NETWORKS}
      AND ${isUnnamed}`.execute(db);
}
