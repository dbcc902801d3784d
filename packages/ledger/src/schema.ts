import { FellmarkError } from "@fellmark/units";
import type { DatabaseSyncInstance } from "@photostructure/sqlite";
import type { Generated } from "kysely";
import type { JobState } from "./job-record.ts";

/** A row of `jobs`: see JobRecord and StartedJob; `error` and `files` are JSON. */
export interface JobRow {
  tenant: string;
  id: string;
  state: JobState;
  progress: number;
  attempt: number;
  tries: number;
  request: string;
  modelVersion: string;
  terrainFingerprint: string;
  cancelRequested: number;
  error: string | null;
  files: string | null;
  createdAtMs: number;
  updatedAtMs: number;
}

/** A row of `leases`: a reference that waits, or is held from heldAtMs for holdMs by whoever knows the token. */
export interface LeaseRow {
  position: Generated<number>;
  tenant: string;
  id: string;
  token: string | null;
  heldAtMs: number;
  holdMs: number;
}

export interface Schema {
  jobs: JobRow;
  leases: LeaseRow;
  probe: { one: number; atMs: number };
}

const SCHEMA_VERSION = 1;

const TABLES = `
CREATE TABLE schemaVersion (version INTEGER NOT NULL) STRICT;
INSERT INTO schemaVersion VALUES (${SCHEMA_VERSION});
CREATE TABLE jobs (
  tenant TEXT NOT NULL,
  id TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('queued', 'running', 'done', 'failed', 'cancelled', 'expired')),
  progress REAL NOT NULL CHECK (progress BETWEEN 0 AND 1),
  attempt INTEGER NOT NULL,
  tries INTEGER NOT NULL,
  request TEXT NOT NULL,
  modelVersion TEXT NOT NULL,
  terrainFingerprint TEXT NOT NULL,
  cancelRequested INTEGER NOT NULL CHECK (cancelRequested IN (0, 1)),
  error TEXT,
  files TEXT,
  createdAtMs INTEGER NOT NULL,
  updatedAtMs INTEGER NOT NULL,
  PRIMARY KEY (tenant, id)
) STRICT;
CREATE INDEX unfinishedJobs ON jobs (tenant) WHERE state IN ('queued', 'running');
CREATE TABLE leases (
  position INTEGER PRIMARY KEY AUTOINCREMENT,
  tenant TEXT NOT NULL,
  id TEXT NOT NULL,
  token TEXT,
  heldAtMs INTEGER NOT NULL,
  holdMs INTEGER NOT NULL,
  UNIQUE (tenant, id)
) STRICT;
CREATE TABLE probe (one INTEGER PRIMARY KEY CHECK (one = 1), atMs INTEGER NOT NULL) STRICT;
`;

/** Creates the tables in an empty file. Throws FellmarkError 'unsupported_schema' for a file of another version. */
export function createSchema(database: DatabaseSyncInstance): void {
  database.exec("BEGIN IMMEDIATE");
  try {
    const version = versionOf(database);
    if (version === undefined) database.exec(TABLES);
    else if (version !== SCHEMA_VERSION) {
      const detail = `the ledger file has schema version ${version}; this program knows version ${SCHEMA_VERSION}`;
      throw new FellmarkError("unsupported_schema", detail);
    }
    database.exec("COMMIT");
  } catch (error) {
    database.exec("ROLLBACK");
    throw error;
  }
}

function versionOf(database: DatabaseSyncInstance): unknown {
  const table = database.prepare("SELECT name FROM sqlite_schema WHERE name = 'schemaVersion'").get();
  return table && database.prepare("SELECT max(version) AS version FROM schemaVersion").get().version;
}
