import { createHash, type Hash, randomUUID } from "node:crypto";
import { existsSync } from "node:fs";
import { open, readdir, rename, rm } from "node:fs/promises";
import path from "node:path";
import type { DatabaseSyncInstance, StatementSyncInstance } from "@photostructure/sqlite";
import { loadSqlite } from "./load-sqlite.ts";
import { lockPremises, type PremisesLock } from "./premises-lock.ts";
import { toPremisesPath } from "./premises-path.ts";
import type {
  PremisesChange,
  PremisesPoints,
  PremisesRecord,
  PremisesState,
  PremisesWriter,
} from "./premises-record.ts";
import { toStorageError } from "./storage-error.ts";

/** Written once by one connection and thrown away when that fails, so no journal is needed. */
const ONE_WRITER = `
PRAGMA main.journal_mode = OFF;
PRAGMA main.synchronous = OFF;
PRAGMA main.cache_size = -65536;
`;

const TABLES = `
CREATE TABLE premises (
  position INTEGER PRIMARY KEY,
  id TEXT NOT NULL,
  address TEXT NOT NULL,
  words TEXT NOT NULL,
  lon REAL NOT NULL,
  lat REAL NOT NULL,
  qualityM REAL
) STRICT;
CREATE TABLE words (word TEXT PRIMARY KEY, count INTEGER NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE list (format INTEGER NOT NULL, version TEXT NOT NULL, count INTEGER NOT NULL, pointIndex BLOB NOT NULL) STRICT;
`;

/** Only which words an address has is kept, not where: the order of the words is looked at afterwards. */
const INDEXES = `
CREATE UNIQUE INDEX premisesById ON premises (id);
CREATE VIRTUAL TABLE premisesText USING fts5 (words, content = '', columnsize = 0, detail = none, prefix = '1 2 3',
  tokenize = "unicode61 remove_diacritics 0");
INSERT INTO premisesText (premisesText, rank) VALUES ('hashsize', 67108864);
INSERT INTO premisesText (rowid, words) SELECT position, words FROM premises;
INSERT INTO premisesText (premisesText) VALUES ('optimize');
`;

const COLUMNS = 7;

/** Rows of one INSERT: a statement for each row takes a third longer. */
const ROWS_AT_ONCE = 64;

/** Raised when the tables change: a file of another format must be imported anew. */
export const PREMISES_FORMAT = 1;

const PARTIAL = ".partial";

/** Longest time that an import waits for the one before. */
const WAIT_MS = 300_000;

/**
 * Begins a new list of premises for a tenant below a folder, once no other writer has one: each list is made from the
 * one that it replaces. Throws TransientError 'premises_busy' when that takes too long.
 */
export async function createPremisesFile(dir: string, tenant: string, waitMs = WAIT_MS): Promise<PremisesWriter> {
  const target = toPremisesPath(dir, tenant);
  const lock = await lockPremises(dir, tenant, waitMs);
  try {
    await removeAbandoned(target);
    const { DatabaseSync } = await loadSqlite();
    const partial = `${target}.${randomUUID()}${PARTIAL}`;
    const database = new DatabaseSync(partial);
    database.exec(ONE_WRITER);
    database.exec(TABLES);
    const hasPresent = attachPresent(database, target);
    database.exec("BEGIN");
    return new SqlitePremisesWriter(database, { partial, target, hasPresent, lock });
  } catch (error) {
    lock.release();
    throw toStorageError(error);
  }
}

/** Makes the list that is to be replaced readable; of one of another format nothing can be told. */
function attachPresent(database: DatabaseSyncInstance, target: string): boolean {
  if (!existsSync(target)) return false;
  database.prepare("ATTACH ? AS present").run(target);
  return database.prepare("SELECT format FROM present.list").get().format === PREMISES_FORMAT;
}

/** Under the lock every list that is half made was left by a writer that died. */
async function removeAbandoned(target: string): Promise<void> {
  const dir = path.dirname(target);
  for (const name of await readdir(dir)) {
    if (name.startsWith(path.basename(target)) && name.includes(PARTIAL))
      await rm(path.join(dir, name), { force: true });
  }
}

interface ListFiles {
  partial: string;
  target: string;
  hasPresent: boolean;
  lock: PremisesLock;
}

class SqlitePremisesWriter implements PremisesWriter {
  readonly #database: DatabaseSyncInstance;
  readonly #files: ListFiles;
  readonly #insertMany: StatementSyncInstance;
  readonly #ids = new Set<string>();
  readonly #words = new Map<string, number>();
  readonly #lon: number[] = [];
  readonly #lat: number[] = [];
  readonly #hash: Hash = createHash("sha256");
  #toHash = "";
  #toInsert: (string | number | null)[] = [];

  constructor(database: DatabaseSyncInstance, files: ListFiles) {
    this.#database = database;
    this.#files = files;
    this.#insertMany = database.prepare(buildInsert(ROWS_AT_ONCE));
  }

  add({ id, address, words, lon, lat, qualityM }: PremisesRecord): boolean {
    const position = this.#ids.size;
    if (this.#ids.add(id).size === position) return false;
    this.#lon.push(lon);
    this.#lat.push(lat);
    for (const word of words.split(" ")) this.#words.set(word, (this.#words.get(word) ?? 0) + 1);
    this.#toHash += `${id}\0${address}\0${qualityM}\0`;
    this.#toInsert.push(position, id, address, words, lon, lat, qualityM);
    if (this.#toInsert.length === ROWS_AT_ONCE * COLUMNS) this.#flush();
    return true;
  }

  keepOthers(): void {
    if (!this.#files.hasPresent) return;
    const all = this.#database.prepare("SELECT * FROM present.premises ORDER BY position");
    for (const row of all.iterate()) this.add(row as unknown as PremisesRecord);
  }

  async publish(pointIndex: (points: PremisesPoints) => Uint8Array): Promise<PremisesState & PremisesChange> {
    const { partial, target } = this.#files;
    try {
      this.#flush();
      for (const degrees of [this.#lon, this.#lat]) this.#hash.update(Float64Array.from(degrees));
      const state = { version: `p${this.#hash.digest("hex")}`, count: this.#ids.size };
      this.#writeWords();
      this.#database.exec(INDEXES);
      const row = this.#database.prepare("INSERT INTO list VALUES (?, ?, ?, ?)");
      row.run(PREMISES_FORMAT, state.version, state.count, pointIndex({ lon: this.#lon, lat: this.#lat }));
      this.#database.exec("COMMIT");
      const change = this.#countChange();
      this.#database.close();
      await syncAndRename(partial, target);
      return { ...state, ...change };
    } catch (error) {
      throw toStorageError(error);
    } finally {
      this.#files.lock.release();
    }
  }

  async discard(): Promise<void> {
    if (this.#database.isOpen) this.#database.close();
    await rm(this.#files.partial, { force: true });
    this.#files.lock.release();
  }

  #flush(): void {
    const rows = this.#toInsert.length / COLUMNS;
    if (rows === 0) return;
    const insert = rows === ROWS_AT_ONCE ? this.#insertMany : this.#database.prepare(buildInsert(rows));
    try {
      insert.run(...this.#toInsert);
    } catch (error) {
      throw toStorageError(error);
    }
    this.#hash.update(this.#toHash);
    this.#toInsert = [];
    this.#toHash = "";
  }

  #writeWords(): void {
    const insert = this.#database.prepare("INSERT INTO words VALUES (?, ?)");
    for (const [word, count] of this.#words) if (!/\d/.test(word)) insert.run(word, count);
  }

  #countChange(): PremisesChange {
    if (!this.#files.hasPresent) return { added: this.#ids.size, changed: 0, same: 0, removed: 0 };
    const { before, kept, same } = this.#database.prepare(COMPARED).get() as Record<string, number>;
    return { added: this.#ids.size - kept, changed: kept - same, same, removed: before - kept };
  }
}

const COMPARED = `
SELECT (SELECT count(*) FROM present.premises) AS before, count(*) AS kept,
  coalesce(sum(new.address = old.address AND new.lon = old.lon AND new.lat = old.lat AND new.qualityM IS old.qualityM), 0)
    AS same
FROM main.premises AS new JOIN present.premises AS old USING (id)
`;

function buildInsert(rows: number): string {
  return `INSERT INTO premises VALUES ${Array(rows).fill("(?, ?, ?, ?, ?, ?, ?)").join(", ")}`;
}

/** All is on disk before the name changes, and the name before this resolves. */
async function syncAndRename(partial: string, target: string): Promise<void> {
  await syncPath(partial, "r+");
  await rename(partial, target);
  await syncPath(path.dirname(target), "r");
}

async function syncPath(file: string, flags: "r" | "r+"): Promise<void> {
  const handle = await open(file, flags);
  await handle.sync().finally(() => handle.close());
}
