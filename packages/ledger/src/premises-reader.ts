import { type Stats, statSync } from "node:fs";
import { FellmarkError } from "@fellmark/units";
import type { DatabaseSyncInstance, StatementSyncInstance } from "@photostructure/sqlite";
import { loadSqlite } from "./load-sqlite.ts";
import { toPremisesPath } from "./premises-path.ts";
import type { PremisesReader, PremisesRecord, PremisesWord } from "./premises-record.ts";
import { PREMISES_FORMAT } from "./premises-writer.ts";

/**
 * Opens the present list of a tenant; undefined where there is none.
 * Throws FellmarkError 'unsupported_schema' for a file of another format: it must be imported anew.
 */
export async function openPremisesFile(dir: string, tenant: string): Promise<PremisesReader | undefined> {
  const file = toPremisesPath(dir, tenant);
  const stats = statSync(file, { throwIfNoEntry: false });
  if (!stats) return undefined;
  const { DatabaseSync } = await loadSqlite();
  const database = new DatabaseSync(file, { readOnly: true });
  try {
    database.exec("PRAGMA mmap_size = 1073741824");
    return new SqlitePremisesReader(database, file, stats);
  } catch (error) {
    database.close();
    throw error;
  }
}

const FIELDS = "id, address, words, lon, lat, qualityM";

class SqlitePremisesReader implements PremisesReader {
  readonly version: string;
  readonly count: number;
  readonly #database: DatabaseSyncInstance;
  readonly #file: string;
  readonly #stats: Stats;
  readonly #matching: StatementSyncInstance;
  readonly #withId: StatementSyncInstance;
  readonly #at: StatementSyncInstance;

  constructor(database: DatabaseSyncInstance, file: string, stats: Stats) {
    const { format, version, count } = database.prepare("SELECT format, version, count FROM list").get();
    if (format !== PREMISES_FORMAT) {
      throw new FellmarkError("unsupported_schema", "the list of premises is of another format: import it anew");
    }
    this.version = String(version);
    this.count = Number(count);
    this.#database = database;
    this.#file = file;
    this.#stats = stats;
    this.#matching = database.prepare(
      `SELECT ${FIELDS} FROM premises WHERE position IN
        (SELECT rowid FROM premisesText WHERE premisesText MATCH ? LIMIT ?) ORDER BY position`,
    );
    this.#withId = database.prepare(`SELECT ${FIELDS} FROM premises WHERE id = ?`);
    this.#at = database.prepare(`SELECT ${FIELDS} FROM premises WHERE position = ?`);
  }

  isCurrent(): boolean {
    const now = statSync(this.#file, { throwIfNoEntry: false });
    return now?.ino === this.#stats.ino && now.mtimeMs === this.#stats.mtimeMs;
  }

  listWords(): PremisesWord[] {
    return this.#database.prepare("SELECT word, count FROM words").all() as PremisesWord[];
  }

  readPointIndex(): Uint8Array {
    return this.#database.prepare("SELECT pointIndex FROM list").get().pointIndex as Uint8Array;
  }

  findMatching(query: string, limit: number): PremisesRecord[] {
    return this.#matching.all(query, limit) as PremisesRecord[];
  }

  findById(id: string): PremisesRecord | undefined {
    return this.#withId.get(id) as PremisesRecord | undefined;
  }

  readAt(position: number): PremisesRecord {
    return this.#at.get(position) as PremisesRecord;
  }

  close(): void {
    if (this.#database.isOpen) this.#database.close();
  }
}
