import { join } from "node:path";
import { tempDir } from "@fellmark/testkit";
import { sql } from "kysely";
import { afterEach, describe, expect, it } from "vitest";
import { openSqliteFile, patiently, proveWrite } from "./sqlite-file.ts";

describe("SQLite file", () => {
  const folder = tempDir();
  afterEach(() => folder.remove());

  it("refuses a file of another schema version", async () => {
    const path = join(folder.path, "new", "ledger.sqlite");
    const file = await openSqliteFile(path);
    await sql`UPDATE schemaVersion SET version = 7`.execute(file.db);
    await file.close();
    await expect(openSqliteFile(path)).rejects.toMatchObject({
      code: "unsupported_schema",
      message: "the ledger file has schema version 7; this program knows version 1",
    });
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
    await patiently(async () => {
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
    await expect(patiently(() => fill.execute(db))).rejects.toMatchObject({
      name: "TransientError",
      code: "storage_failed",
    });
    await close();
  });
});
