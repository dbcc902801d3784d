import type { Kysely } from "kysely";
import type { KeptResult } from "./job-record.ts";
import type { ResultFile } from "./result-file.ts";
import type { Schema } from "./schema.ts";
import { retryWhileBusy } from "./sqlite-file.ts";

/** See WorkerLedger.listResults. */
export async function listResults(db: Kysely<Schema>): Promise<KeptResult[]> {
  const query = db
    .selectFrom("jobs")
    .select(["tenant", "id", "kind", "files", "updatedAtMs", "pinned"])
    .where("state", "=", "done")
    .orderBy("updatedAtMs");
  const rows = await retryWhileBusy(() => query.execute());
  return rows.map(({ files, updatedAtMs, pinned, ...key }) => ({
    ...key,
    bytes: (JSON.parse(files ?? "[]") as ResultFile[]).reduce((sum, file) => sum + file.bytes, 0),
    endedAtMs: updatedAtMs,
    pinned: pinned === 1,
  }));
}

/** See WorkerLedger.listEndedBefore. */
export function listEndedBefore(db: Kysely<Schema>, timeMs: number): Promise<{ tenant: string; id: string }[]> {
  const query = db
    .selectFrom("jobs")
    .select(["tenant", "id"])
    .where("state", "in", ["failed", "cancelled", "expired"])
    .where("pinned", "=", 0)
    .where("updatedAtMs", "<", timeMs);
  return retryWhileBusy(() => query.execute());
}
