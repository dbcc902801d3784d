import { FellmarkError } from "@fellmark/units";
import type { DatabaseSyncInstance } from "@photostructure/sqlite";
import type { Generated } from "kysely";
import type { JobKind, JobState } from "./job-record.ts";
import type { LayerState } from "./layer-record.ts";

/** A row of `jobs`, which is written anew at every report of progress, so it is kept short: see JobRecord and StartedJob; `error` and `files` are JSON. */
export interface JobRow {
  tenant: string;
  id: string;
  kind: JobKind;
  name: string;
  state: JobState;
  progress: number;
  attempt: number;
  token: string | null;
  tries: number;
  modelVersion: string;
  terrainFingerprint: string;
  costS: number;
  cancelRequested: number;
  pinned: number;
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

/** A row of `requests`: the request of a job, canonical JSON; it goes with its job. */
export interface RequestRow {
  tenant: string;
  id: string;
  request: string;
}

/** A row of `networks`: one document that a tenant put, numbered from 1. */
export interface NetworkRow {
  tenant: string;
  number: number;
  version: string;
  document: string;
  createdAtMs: number;
}

/** A row of `layerVersions`: `source`, `description` and `files` are JSON; `publication` counts those of a layer. */
export interface LayerRow {
  tenant: string;
  layer: string;
  version: number;
  state: LayerState;
  source: string;
  description: string;
  files: string;
  createdAtMs: number;
  publishedAtMs: number | null;
  publication: number | null;
}

/** A row of `embedTokens`: `origins` is JSON. */
export interface EmbedTokenRow {
  tenant: string;
  layer: string;
  id: string;
  hash: string;
  origins: string;
  createdAtMs: number;
  expiresAtMs: number;
  revokedAtMs: number | null;
}

export interface Schema {
  layerVersions: LayerRow;
  embedTokens: EmbedTokenRow;
  jobs: JobRow;
  requests: RequestRow;
  networks: NetworkRow;
  leases: LeaseRow;
  probe: { one: number; atMs: number };
}

const TABLES = `
CREATE TABLE schemaVersion (version INTEGER NOT NULL) STRICT;
INSERT INTO schemaVersion VALUES (1);
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

const KINDS_REQUESTS_NETWORKS = `
ALTER TABLE jobs ADD COLUMN kind TEXT NOT NULL DEFAULT 'coverage' CHECK (kind IN ('coverage', 'comparison', 'advice'));
CREATE TABLE requests (
  tenant TEXT NOT NULL,
  id TEXT NOT NULL,
  request TEXT NOT NULL,
  PRIMARY KEY (tenant, id)
) STRICT;
INSERT INTO requests SELECT tenant, id, request FROM jobs;
ALTER TABLE jobs DROP COLUMN request;
CREATE TRIGGER requestGoesWithItsJob AFTER DELETE ON jobs
  BEGIN DELETE FROM requests WHERE tenant = OLD.tenant AND id = OLD.id; END;
CREATE TABLE networks (
  tenant TEXT NOT NULL,
  number INTEGER NOT NULL,
  version TEXT NOT NULL,
  document TEXT NOT NULL,
  createdAtMs INTEGER NOT NULL,
  PRIMARY KEY (tenant, number)
) STRICT;
CREATE INDEX networkVersions ON networks (tenant, version);
UPDATE schemaVersion SET version = 2;
`;

/** Every question about a place asks for the versions; the index holds all that their list tells, off the long documents. */
const BATCHES_SUMMARIES = `
CREATE TABLE jobsOfAllKinds (
  tenant TEXT NOT NULL,
  id TEXT NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('coverage', 'comparison', 'advice', 'batch')),
  state TEXT NOT NULL CHECK (state IN ('queued', 'running', 'done', 'failed', 'cancelled', 'expired')),
  progress REAL NOT NULL CHECK (progress BETWEEN 0 AND 1),
  attempt INTEGER NOT NULL,
  tries INTEGER NOT NULL,
  modelVersion TEXT NOT NULL,
  terrainFingerprint TEXT NOT NULL,
  cancelRequested INTEGER NOT NULL CHECK (cancelRequested IN (0, 1)),
  error TEXT,
  files TEXT,
  createdAtMs INTEGER NOT NULL,
  updatedAtMs INTEGER NOT NULL,
  PRIMARY KEY (tenant, id)
) STRICT;
INSERT INTO jobsOfAllKinds
  SELECT tenant, id, kind, state, progress, attempt, tries, modelVersion, terrainFingerprint, cancelRequested, error,
    files, createdAtMs, updatedAtMs FROM jobs ORDER BY rowid;
DROP TABLE jobs;
ALTER TABLE jobsOfAllKinds RENAME TO jobs;
CREATE INDEX unfinishedJobs ON jobs (tenant) WHERE state IN ('queued', 'running');
CREATE TRIGGER requestGoesWithItsJob AFTER DELETE ON jobs
  BEGIN DELETE FROM requests WHERE tenant = OLD.tenant AND id = OLD.id; END;
CREATE INDEX networkSummaries ON networks (tenant, number, version, createdAtMs);
UPDATE schemaVersion SET version = 3;
`;

/** Attempts that began before tokens have their number for one: so are their folders named. */
const NAMES_TOKENS_PINS = `
ALTER TABLE jobs ADD COLUMN name TEXT NOT NULL DEFAULT '';
ALTER TABLE jobs ADD COLUMN token TEXT;
ALTER TABLE jobs ADD COLUMN pinned INTEGER NOT NULL DEFAULT 0 CHECK (pinned IN (0, 1));
UPDATE jobs SET token = CAST(attempt AS TEXT) WHERE attempt > 0;
CREATE INDEX jobsByAge ON jobs (tenant, kind, createdAtMs, id);
UPDATE schemaVersion SET version = 4;
`;

const LAYERS = `
CREATE TABLE layerVersions (
  tenant TEXT NOT NULL,
  layer TEXT NOT NULL,
  version INTEGER NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('draft', 'published', 'withdrawn', 'retired')),
  source TEXT NOT NULL,
  description TEXT NOT NULL,
  files TEXT NOT NULL,
  createdAtMs INTEGER NOT NULL,
  publishedAtMs INTEGER,
  publication INTEGER,
  PRIMARY KEY (tenant, layer, version)
) STRICT;
CREATE TABLE embedTokens (
  tenant TEXT NOT NULL,
  layer TEXT NOT NULL,
  id TEXT NOT NULL,
  hash TEXT NOT NULL UNIQUE,
  origins TEXT NOT NULL,
  createdAtMs INTEGER NOT NULL,
  expiresAtMs INTEGER NOT NULL,
  revokedAtMs INTEGER,
  PRIMARY KEY (tenant, layer, id)
) STRICT;
UPDATE schemaVersion SET version = 5;
`;

const COSTS = `
ALTER TABLE jobs ADD COLUMN costS REAL NOT NULL DEFAULT 0;
UPDATE schemaVersion SET version = 6;
`;

/** Statements that take a file from one version to the next; the first makes an empty file version 1. */
const MIGRATIONS = [TABLES, KINDS_REQUESTS_NETWORKS, BATCHES_SUMMARIES, NAMES_TOKENS_PINS, LAYERS, COSTS];

/**
 * Brings a file, empty or of an earlier version, to the version of this program.
 * Throws FellmarkError 'unsupported_schema' for a file of a later one.
 */
export function createSchema(database: DatabaseSyncInstance): void {
  database.exec("BEGIN IMMEDIATE");
  try {
    const version = readVersion(database);
    if (!(version >= 0 && version <= MIGRATIONS.length)) {
      const detail = `the ledger file has schema version ${version}; this program knows version ${MIGRATIONS.length}`;
      throw new FellmarkError("unsupported_schema", detail);
    }
    for (const migration of MIGRATIONS.slice(version)) database.exec(migration);
    database.exec("COMMIT");
  } catch (error) {
    database.exec("ROLLBACK");
    throw error;
  }
}

/** 0 for an empty file. */
function readVersion(database: DatabaseSyncInstance): number {
  const table = database.prepare("SELECT name FROM sqlite_schema WHERE name = 'schemaVersion'").get();
  return table ? Number(database.prepare("SELECT max(version) AS version FROM schemaVersion").get().version) : 0;
}
