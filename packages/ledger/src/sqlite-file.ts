import { mkdir } from "node:fs/promises";
import path from "node:path";
import { setTimeout as delay, setImmediate as eventLoopTurn } from "node:timers/promises";
import { TransientError } from "@fellmark/units";
import type { DatabaseSyncInstance } from "@photostructure/sqlite";
import { Kysely, type SqliteDatabase, SqliteDialect } from "kysely";
import { loadSqlite } from "./load-sqlite.ts";
import { watchPlace } from "./place-watch.ts";
import { createSchema, type Schema } from "./schema.ts";
import { isBusy, toStorageError } from "./storage-error.ts";

/** One connection to the ledger file. Several processes, and several connections of one process, may share the file. */
export interface SqliteFile {
  db: Kysely<Schema>;
  close(): Promise<void>;
}

/** Longest time that waiting for another writer may block the event loop; longer waits are asynchronous. */
const BUSY_TIMEOUT_MS = 50;
/** Part of the write-ahead log that stays on disk when it was written back: room for changes on a full disk. */
const KEPT_LOG_BYTES = 16 * 2 ** 20;
const BUSY_PAUSES_MS = [5, 10, 20, 40, 80, 160, 320, 640, 640, 640];

/**
 * Opens or creates the file: write-ahead log, every commit synced to disk before it is acknowledged.
 * Throws FellmarkError 'unsupported_schema' for a file of another schema version, TransientError while it is locked.
 */
export async function openSqliteFile(file: string): Promise<SqliteFile> {
  await mkdir(path.dirname(path.resolve(file)), { recursive: true });
  const { DatabaseSync } = await loadSqlite();
  const database = new DatabaseSync(file);
  try {
    database.exec(`PRAGMA busy_timeout = ${BUSY_TIMEOUT_MS}`);
    await retryWhileBusy(() => database.exec("PRAGMA journal_mode = WAL"));
    database.exec("PRAGMA synchronous = FULL");
    database.exec(`PRAGMA journal_size_limit = ${KEPT_LOG_BYTES}`);
    await retryWhileBusy(() => createSchema(database));
  } catch (error) {
    database.close();
    throw error;
  }
  const inPlace = watchPlace(file);
  const db = new Kysely<Schema>({ dialect: new SqliteDialect({ database: toKyselyDatabase(database, inPlace) }) });
  return { db, close: () => closeOnce(db, database) };
}

/**
 * Every statement is asked for its rows: what changed is told by RETURNING, so counts are not needed. None is run once
 * the file is no longer in its place: what is written to a file without a name is lost when it is closed.
 */
function toKyselyDatabase(database: DatabaseSyncInstance, requireInPlace: () => void): SqliteDatabase {
  return {
    close: () => database.close(),
    prepare(sql) {
      requireInPlace();
      const statement = database.prepare(sql);
      return {
        reader: true,
        all: (parameters) => statement.all(...parameters),
        run: (parameters) => statement.run(...parameters),
        iterate: (parameters) => statement.iterate(...parameters),
      };
    },
  };
}

async function closeOnce(db: Kysely<Schema>, database: DatabaseSyncInstance): Promise<void> {
  await db.destroy();
  // A driver that never ran a query does not know that it holds a connection.
  if (database.isOpen) database.close();
}

/** Proves that a commit reaches the disk. */
export async function proveWrite(db: Kysely<Schema>): Promise<void> {
  const atMs = Date.now();
  const insert = db.insertInto("probe").values({ one: 1, atMs });
  await retryWhileBusy(() => insert.onConflict((conflict) => conflict.column("one").doUpdateSet({ atMs })).execute());
}

/**
 * Runs a query again while another writer holds the file, with growing pauses, for about 3 s. The event loop gets a turn
 * first: SQLite answers at once, and a chain of such answers would hold up timers and sockets.
 * Throws TransientError 'ledger_busy' after that, 'storage_failed' when the disk is full or broken.
 */
export async function retryWhileBusy<T>(query: () => T | Promise<T>): Promise<T> {
  await eventLoopTurn();
  for (const pauseMs of BUSY_PAUSES_MS) {
    try {
      return await query();
    } catch (error) {
      if (!isBusy(error)) throw toStorageError(error);
    }
    await delay(pauseMs * (0.5 + Math.random()));
  }
  throw new TransientError("ledger_busy", "the ledger is locked by another writer");
}
