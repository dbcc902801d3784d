import { sql } from "kysely";
import { checkJobKey } from "./job-key.ts";
import { openSqliteFile, proveWrite, retryWhileBusy, type SqliteFile } from "./sqlite-file.ts";

/** One reference to a job. */
export interface LeaseKey {
  tenant: string;
  id: string;
}

/**
 * References to jobs, each waiting or held under a token for a time. Times come from the caller: milliseconds of a clock
 * that all processes share and that never steps back; after a restart of the machine it may begin again, and nothing is
 * held longer for that.
 */
export interface Leases {
  /** Adds a reference unless it is there. */
  add(key: LeaseKey): Promise<void>;
  /** Removes a reference that nobody holds. */
  drop(key: LeaseKey, nowMs: number): Promise<void>;
  /** Holds the oldest free reference; undefined when there is none. */
  take(token: string, nowMs: number, holdMs: number): Promise<LeaseKey | undefined>;
  /** Holds on; false when the reference has gone to somebody else. */
  renew(token: string, nowMs: number): Promise<boolean>;
  /** Gives the reference back; it is free again after the pause. */
  release(token: string, nowMs: number, pauseMs: number): Promise<void>;
  /** Removes the reference: its work is done. */
  forget(token: string): Promise<void>;
  /** Proves that a write works. */
  check(): Promise<void>;
  close(): Promise<void>;
}

/** Opens or creates the leases in the same SQLite file as the ledger. */
export async function openSqliteLeases(path: string): Promise<Leases> {
  return new SqliteLeases(await openSqliteFile(path));
}

class SqliteLeases implements Leases {
  readonly #file: SqliteFile;
  #closed: Promise<void> | undefined;

  constructor(file: SqliteFile) {
    this.#file = file;
  }

  async add({ tenant, id }: LeaseKey): Promise<void> {
    checkJobKey(tenant, id);
    const insert = this.#file.db.insertInto("leases").values({ tenant, id, token: null, heldAtMs: 0, holdMs: 0 });
    await retryWhileBusy(() => insert.onConflict((conflict) => conflict.doNothing()).execute());
  }

  async drop({ tenant, id }: LeaseKey, nowMs: number): Promise<void> {
    const remove = this.#file.db.deleteFrom("leases").where("tenant", "=", tenant).where("id", "=", id);
    await retryWhileBusy(() =>
      remove.where((leases) => leases.or([leases("token", "is", null), isFree(nowMs)])).execute(),
    );
  }

  async take(token: string, nowMs: number, holdMs: number): Promise<LeaseKey | undefined> {
    const { db } = this.#file;
    const oldest = db.selectFrom("leases").select("position").where(isFree(nowMs)).orderBy("position").limit(1);
    const update = db.updateTable("leases").set({ token, heldAtMs: nowMs, holdMs }).where("position", "=", oldest);
    return retryWhileBusy(() => update.returning(["tenant", "id"]).executeTakeFirst());
  }

  async renew(token: string, nowMs: number): Promise<boolean> {
    const update = this.#file.db.updateTable("leases").set({ heldAtMs: nowMs }).where("token", "=", token);
    return (await retryWhileBusy(() => update.returning("id").executeTakeFirst())) !== undefined;
  }

  async release(token: string, nowMs: number, pauseMs: number): Promise<void> {
    const free = { token: null, heldAtMs: nowMs, holdMs: pauseMs };
    await retryWhileBusy(() => this.#file.db.updateTable("leases").set(free).where("token", "=", token).execute());
  }

  async forget(token: string): Promise<void> {
    await retryWhileBusy(() => this.#file.db.deleteFrom("leases").where("token", "=", token).execute());
  }

  check(): Promise<void> {
    return proveWrite(this.#file.db);
  }

  close(): Promise<void> {
    this.#closed ??= this.#file.close();
    return this.#closed;
  }
}

/**
 * Not held at this time. The caller may have read its clock just before the holder read its own; a hold from further
 * ahead than it lasts was taken before the clock began again.
 */
function isFree(nowMs: number) {
  return sql<boolean>`NOT abs(${nowMs} - heldAtMs) < holdMs`;
}
