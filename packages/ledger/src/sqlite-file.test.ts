import { renameSync } from "node:fs";
import { join } from "node:path";
import { createTempDir } from "@fellmark/testkit";
import { sql } from "kysely";
import { afterEach, describe, expect, it } from "vitest";
import { openSqliteFile, proveWrite, retryWhileBusy } from "./sqlite-file.ts";
import { openSqliteLedger } from "./sqlite-ledger.ts";

/** The table of jobs as files of schema version 1 have it. */
const VERSION_1_JOBS = `CREATE TABLE jobs (
  tenant TEXT NOT NULL, id TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('queued', 'running', 'done', 'failed', 'cancelled', 'expired')),
  progress REAL NOT NULL CHECK (progress BETWEEN 0 AND 1), attempt INTEGER NOT NULL, tries INTEGER NOT NULL,
  request TEXT NOT NULL, modelVersion TEXT NOT NULL, terrainFingerprint TEXT NOT NULL,
  cancelRequested INTEGER NOT NULL CHECK (cancelRequested IN (0, 1)), error TEXT, files TEXT,
  createdAtMs INTEGER NOT NULL, updatedAtMs INTEGER NOT NULL, PRIMARY KEY (tenant, id)
) STRICT`;

describe("SQLite file", () => {
  const folder = createTempDir();
  afterEach(() => folder.remove());

  it("refuses a file of another schema version", async () => {
    const path = join(folder.path, "new", "ledger.sqlite");
    const file = await openSqliteFile(path);
    await sql`UPDATE schemaVersion SET version = 7`.execute(file.db);
    await file.close();
    await expect(openSqliteFile(path)).rejects.toMatchObject({
      code: "unsupported_schema",
      message: "the ledger file has schema version 7; this program knows version 6",
    });
  });

  it("takes no change while the file is not where it was, and goes on when it is back", async () => {
    const [place, away] = [join(folder.path, "data"), join(folder.path, "moved")];
    const ledger = await openSqliteLedger(join(place, "ledger.sqlite"));
    renameSync(place, away);
    await expect(ledger.check()).rejects.toMatchObject({ code: "storage_failed" });
    await expect(ledger.listUnfinished()).rejects.toMatchObject({ code: "storage_failed" });
    renameSync(away, place);
    await ledger.check();
    await ledger.close();
  });

  it("brings a file of version 1 up to date, with its jobs", async () => {
    const path = join(folder.path, "old", "ledger.sqlite");
    const old = await openSqliteFile(path);
    for (const statement of [
      "DROP TABLE layerVersions",
      "DROP TABLE embedTokens",
      "DROP TABLE networks",
      "DROP TABLE requests",
      "DROP TABLE jobs",
      VERSION_1_JOBS,
      "UPDATE schemaVersion SET version = 1",
    ])
      await sql.raw(statement).execute(old.db);
    await sql`INSERT INTO jobs VALUES ('default', 'j1', 'done', 1, 1, 1, '{}', 'm1', 't1', 0, NULL, '[]', 5, 6)`.execute(
      old.db,
    );
    await old.close();
    const ledger = await openSqliteLedger(path);
    expect(await ledger.find("default", "j1")).toMatchObject({
      kind: "coverage",
      state: "done",
      files: [],
      updatedAtMs: 6,
    });
    expect(await ledger.putNetwork({ tenant: "default", version: "n1", document: "{}" })).toMatchObject({
      created: true,
    });
    await ledger.close();
    const again = await openSqliteFile(path);
    expect((await sql`SELECT version FROM schemaVersion`.execute(again.db)).rows).toEqual([{ version: 6 }]);
    await again.close();
  });

  it("syncs every commit, into a write-ahead log", async () => {
    const { db, close } = await openSqliteFile(join(folder.path, "ledger.sqlite"));
    expect((await sql<{ journal_mode: string }>`PRAGMA journal_mode`.execute(db)).rows[0].journal_mode).toBe("wal");
    // 2 is FULL: https://www.sqlite.org/pragma.html#pragma_synchronous
    expect((await sql<{ synchronous: number }>`PRAGMA synchronous`.execute(db)).rows[0].synchronous).toBe(2);
    expect((await sql<{ timeout: number }>`PRAGMA busy_timeout`.execute(db)).rows[0].timeout).toBeLessThanOrEqual(100);
    await close();
  });

  it("waits for another writer without blocking the event loop", async () => {
    const path = join(folder.path, "ledger.sqlite");
    const [writer, waiter] = [await openSqliteFile(path), await openSqliteFile(path)];
    await sql`BEGIN IMMEDIATE`.execute(writer.db);
    const write = waiter.db.insertInto("probe").values({ one: 1, atMs: 1 });
    let tries = 0;
    await retryWhileBusy(async () => {
      // The other writer lets go after the second refusal, as only a live event loop can tell it to.
      if (++tries === 3) await sql`COMMIT`.execute(writer.db);
      return write.execute();
    });
    expect(tries).toBe(3);
    await writer.close();
    await waiter.close();
  });

  it("gives the event loop a turn at each query", async () => {
    const { db, close } = await openSqliteFile(join(folder.path, "ledger.sqlite"));
    let turns = 0;
    const count = () => {
      turns++;
      turning = setImmediate(count);
    };
    let turning = setImmediate(count);
    for (let query = 0; query < 50; query++) await proveWrite(db);
    clearImmediate(turning);
    expect(turns).toBeGreaterThanOrEqual(49);
    await close();
  });

  it("calls a full disk a passing fault", async () => {
    const { db, close } = await openSqliteFile(join(folder.path, "ledger.sqlite"));
    await sql`PRAGMA max_page_count = 1`.execute(db);
    const fill = sql`INSERT INTO leases (tenant, id, heldAtMs, holdMs) VALUES ('a', hex(zeroblob(100000)), 0, 0)`;
    await expect(retryWhileBusy(() => fill.execute(db))).rejects.toMatchObject({
      name: "TransientError",
      code: "storage_failed",
    });
    await close();
  });
});
