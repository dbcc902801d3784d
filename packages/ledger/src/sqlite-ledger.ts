import { randomUUID } from "node:crypto";
import type { ErrorRecord } from "@fellmark/units";
import { sql, type Transaction } from "kysely";
import { checkJobKey } from "./job-key.ts";
import type {
  AttemptKey,
  JobListQuery,
  JobPage,
  JobRecord,
  JobState,
  KeptResult,
  NetworkLimits,
  NewJob,
  StartedJob,
  SubmitLimit,
  Verdict,
  WorkerLedger,
} from "./job-record.ts";
import {
  createTooManyJobsError,
  ENDED,
  hasRoom,
  type JobCondition,
  RETRYABLE,
  toJobRecord,
  toNewRow,
  UNFINISHED,
} from "./job-row.ts";
import type { LayerShelf } from "./layer-record.ts";
import { listJobs } from "./list-jobs.ts";
import type { NetworkRecord, NetworkSummary, NewNetwork } from "./network-record.ts";
import type { ResultFile } from "./result-file.ts";
import type { JobRow, Schema } from "./schema.ts";
import { openSqliteFile, proveWrite, retryWhileBusy, type SqliteFile } from "./sqlite-file.ts";
import { createLayerShelf } from "./sqlite-layers.ts";
import { findCurrentNetwork, findNetwork, listNetworks, putNetwork, trimNetworks } from "./sqlite-networks.ts";
import { listEndedBefore, listResults } from "./sqlite-retention.ts";

/** Opens or creates a ledger in one SQLite file, which any number of processes of this machine may share. */
export async function openSqliteLedger(path: string): Promise<WorkerLedger> {
  return new SqliteLedger(await openSqliteFile(path));
}

type Change = { [Column in keyof JobRow]?: JobRow[Column] | ReturnType<typeof sql<JobRow[Column]>> };

/** Every change is one UPDATE whose condition names the states it may start from: the conditions are the state graph. */
class SqliteLedger implements WorkerLedger {
  readonly layers: LayerShelf;
  readonly #file: SqliteFile;
  #closed: Promise<void> | undefined;

  constructor(file: SqliteFile) {
    this.#file = file;
    this.layers = createLayerShelf(file.db);
  }

  async submit(job: NewJob, limit?: SubmitLimit): Promise<{ job: JobRecord; created: boolean }> {
    checkJobKey(job.tenant, job.id);
    const row = await retryWhileBusy(() => this.#file.db.transaction().execute((db) => addJob(db, job, limit)));
    return { job: toJobRecord(row.job), created: row.created };
  }

  async find(tenant: string, id: string): Promise<JobRecord | undefined> {
    const query = this.#file.db.selectFrom("jobs").selectAll().where("tenant", "=", tenant).where("id", "=", id);
    const row = await retryWhileBusy(() => query.executeTakeFirst());
    return row && toJobRecord(row);
  }

  async listUnfinished(): Promise<JobRecord[]> {
    const query = this.#file.db.selectFrom("jobs").selectAll().where("state", "in", UNFINISHED);
    const rows = await retryWhileBusy(() => query.orderBy("createdAtMs").orderBy(sql`rowid`).execute());
    return rows.map(toJobRecord);
  }

  async countUnfinished(tenant: string): Promise<number> {
    const query = this.#file.db
      .selectFrom("jobs")
      .select((jobs) => jobs.fn.countAll<number>().as("count"))
      .where("tenant", "=", tenant)
      .where("state", "in", UNFINISHED);
    return (await retryWhileBusy(() => query.executeTakeFirstOrThrow())).count;
  }

  async begin(tenant: string, id: string): Promise<StartedJob | undefined> {
    const change = {
      state: chooseUnlessCancelled("running"),
      attempt: sql<number>`attempt + 1 - cancelRequested`,
      token: randomUUID().replaceAll("-", ""),
      tries: sql<number>`tries + 1`,
      progress: 0,
    };
    const row = await this.#change(tenant, id, change, (jobs) => jobs("state", "in", UNFINISHED));
    if (row?.state !== "running") return undefined;
    const query = this.#file.db.selectFrom("requests").select("request").where("tenant", "=", tenant);
    const { request } = await retryWhileBusy(() => query.where("id", "=", id).executeTakeFirstOrThrow());
    return { ...toJobRecord(row), token: change.token, tries: row.tries, request };
  }

  async reportProgress(attempt: AttemptKey, progress: number): Promise<Verdict> {
    const row = await this.#changeRunning(attempt, { progress: sql<number>`max(progress, min(1, ${progress}))` });
    if (!row) return "lost";
    return row.cancelRequested ? "cancel" : "go-on";
  }

  async complete(attempt: AttemptKey, files: ResultFile[]): Promise<boolean> {
    const change = {
      state: chooseUnlessCancelled("done"),
      files: sql<string | null>`iif(cancelRequested, NULL, ${JSON.stringify(files)})`,
      progress: sql<number>`iif(cancelRequested, progress, 1)`,
    };
    return (await this.#changeRunning(attempt, change))?.state === "done";
  }

  async fail(attempt: AttemptKey, error: ErrorRecord, retry: boolean): Promise<boolean> {
    const text = retry ? null : JSON.stringify(error);
    const change = {
      state: chooseUnlessCancelled(retry ? "queued" : "failed"),
      error: sql<string | null>`iif(cancelRequested, NULL, ${text})`,
    };
    return (await this.#changeRunning(attempt, change)) !== undefined;
  }

  async handOver(attempt: AttemptKey): Promise<boolean> {
    const change = { state: chooseUnlessCancelled("queued"), tries: sql<number>`tries - 1` };
    return (await this.#changeRunning(attempt, change)) !== undefined;
  }

  async confirmCancelled(attempt: AttemptKey): Promise<boolean> {
    const isAsked: JobCondition = (jobs) => jobs.and([isCurrent(attempt)(jobs), jobs("cancelRequested", "=", 1)]);
    return (await this.#change(attempt.tenant, attempt.id, { state: "cancelled" }, isAsked)) !== undefined;
  }

  async requestCancel(tenant: string, id: string): Promise<JobRecord | undefined> {
    const change = { state: sql<JobState>`iif(state = 'queued', 'cancelled', state)`, cancelRequested: 1 };
    const row = await this.#change(tenant, id, change, (jobs) => jobs("state", "in", UNFINISHED));
    return row ? toJobRecord(row) : this.find(tenant, id);
  }

  async retry(tenant: string, id: string, limit?: SubmitLimit): Promise<JobRecord | undefined> {
    const change = { state: "queued", progress: 0, tries: 0, cancelRequested: 0, error: null } as const;
    const isAllowed: JobCondition = (jobs) =>
      jobs.and([jobs("state", "in", RETRYABLE), hasRoom(tenant, limit, sql<number>`jobs.costS`)]);
    const row = await this.#change(tenant, id, change, isAllowed);
    if (row) return toJobRecord(row);
    const unchanged = await this.find(tenant, id);
    if (limit && unchanged && RETRYABLE.includes(unchanged.state)) throw createTooManyJobsError(limit);
    return unchanged;
  }

  async setPinned(tenant: string, id: string, isPinned: boolean): Promise<JobRecord | undefined> {
    const row = await this.#change(tenant, id, { pinned: isPinned ? 1 : 0 }, (jobs) => jobs.lit(true));
    return row && toJobRecord(row);
  }

  listJobs(query: JobListQuery): Promise<JobPage> {
    return listJobs(this.#file.db, query);
  }

  async expire(tenant: string, id: string, reason: string): Promise<JobRecord | undefined> {
    const change = {
      state: "expired",
      files: null,
      error: JSON.stringify({ code: "expired", detail: reason }),
    } as const;
    const row = await this.#change(tenant, id, change, (jobs) =>
      jobs.and([jobs("state", "=", "done"), jobs("pinned", "=", 0)]),
    );
    return row && toJobRecord(row);
  }

  listResults(): Promise<KeptResult[]> {
    return listResults(this.#file.db);
  }

  listEndedBefore(timeMs: number): Promise<{ tenant: string; id: string }[]> {
    return listEndedBefore(this.#file.db, timeMs);
  }

  async findCorruption(): Promise<string[]> {
    const check = sql<{ integrity_check: string }>`PRAGMA integrity_check`;
    const { rows } = await retryWhileBusy(() => check.execute(this.#file.db));
    return rows.map(({ integrity_check: text }) => text).filter((text) => text !== "ok");
  }

  trimNetworks(limits: NetworkLimits): Promise<number> {
    return trimNetworks(this.#file.db, limits);
  }

  async remove(tenant: string, id: string): Promise<boolean> {
    const query = this.#file.db
      .deleteFrom("jobs")
      .where("tenant", "=", tenant)
      .where("id", "=", id)
      .where("state", "in", ENDED)
      .returning("id");
    return (await retryWhileBusy(() => query.executeTakeFirst())) !== undefined;
  }

  putNetwork(network: NewNetwork, replaces?: string): Promise<{ network: NetworkRecord; created: boolean }> {
    return putNetwork(this.#file.db, network, replaces);
  }

  findCurrentNetwork(tenant: string): Promise<NetworkRecord | undefined> {
    return findCurrentNetwork(this.#file.db, tenant);
  }

  findNetwork(tenant: string, version: string): Promise<NetworkRecord | undefined> {
    return findNetwork(this.#file.db, tenant, version);
  }

  listNetworks(tenant: string): Promise<NetworkSummary[]> {
    return listNetworks(this.#file.db, tenant);
  }

  check(): Promise<void> {
    return proveWrite(this.#file.db);
  }

  close(): Promise<void> {
    this.#closed ??= this.#file.close();
    return this.#closed;
  }

  /** The row after the change; undefined for an attempt that is no longer the current one. */
  #changeRunning(attempt: AttemptKey, change: Change): Promise<JobRow | undefined> {
    return this.#change(attempt.tenant, attempt.id, change, isCurrent(attempt));
  }

  /** The row after the change; undefined when there is none in a state that allows it. */
  #change(tenant: string, id: string, change: Change, allowed: JobCondition): Promise<JobRow | undefined> {
    const update = this.#file.db
      .updateTable("jobs")
      .set({ ...change, updatedAtMs: Date.now() })
      .where("tenant", "=", tenant)
      .where("id", "=", id)
      .where(allowed)
      .returningAll();
    return retryWhileBusy(() => update.executeTakeFirst());
  }
}

/** The fence: holds only for the attempt that runs now. */
function isCurrent({ token }: AttemptKey): JobCondition {
  return (jobs) => jobs.and([jobs("state", "=", "running"), jobs("token", "=", token)]);
}

function chooseUnlessCancelled(state: JobState) {
  return sql<JobState>`iif(cancelRequested, 'cancelled', ${state})`;
}

/** Adds a job with its request, or neither; the row that was there before where there is one. */
async function addJob(
  db: Transaction<Schema>,
  job: NewJob,
  limit: SubmitLimit | undefined,
): Promise<{ job: JobRow; created: boolean }> {
  const { tenant, id, request } = job;
  // Writes first: the transaction then sees no older state of the file than the one that it changes.
  const row = toNewRow(job, Date.now());
  const columns = Object.keys(row) as (keyof JobRow)[];
  const values = db.selectNoFrom(({ val }) => columns.map((column) => val(row[column]).as(column)));
  const added = await db
    .insertInto("jobs")
    .columns(columns)
    .expression(values.where(hasRoom(tenant, limit, job.costS ?? 0)))
    .onConflict((conflict) => conflict.doNothing())
    .returningAll()
    .executeTakeFirst();
  if (added) {
    await db.insertInto("requests").values({ tenant, id, request }).execute();
    return { job: added, created: true };
  }
  const find = db.selectFrom("jobs").selectAll().where("tenant", "=", tenant).where("id", "=", id);
  const known = await find.executeTakeFirst();
  if (known) return { job: known, created: false };
  throw createTooManyJobsError(limit as SubmitLimit);
}
