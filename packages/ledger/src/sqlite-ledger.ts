import type { ErrorRecord } from "@fellmark/units";
import { type ExpressionBuilder, sql, type Transaction } from "kysely";
import { checkJobKey } from "./job-key.ts";
import type { JobRecord, JobState, NewJob, ResultFile, StartedJob, Verdict, WorkerLedger } from "./job-record.ts";
import type { NetworkRecord, NetworkSummary, NewNetwork } from "./network-record.ts";
import type { JobRow, Schema } from "./schema.ts";
import { openSqliteFile, patiently, proveWrite, type SqliteFile } from "./sqlite-file.ts";
import { currentNetwork, findNetwork, listNetworks, putNetwork } from "./sqlite-networks.ts";

const UNFINISHED: JobState[] = ["queued", "running"];
const RETRYABLE: JobState[] = ["failed", "cancelled", "expired"];
const ENDED: JobState[] = ["done", "failed", "cancelled", "expired"];

/** Opens or creates a ledger in one SQLite file, which any number of processes of this machine may share. */
export async function openSqliteLedger(path: string): Promise<WorkerLedger> {
  return new SqliteLedger(await openSqliteFile(path));
}

type Jobs = ExpressionBuilder<Schema, "jobs">;
type Change = { [Column in keyof JobRow]?: JobRow[Column] | ReturnType<typeof sql<JobRow[Column]>> };

/** Every change is one UPDATE whose condition names the states it may start from: the conditions are the state graph. */
class SqliteLedger implements WorkerLedger {
  readonly #file: SqliteFile;
  #closed: Promise<void> | undefined;

  constructor(file: SqliteFile) {
    this.#file = file;
  }

  async submit(job: NewJob): Promise<{ job: JobRecord; created: boolean }> {
    checkJobKey(job.tenant, job.id);
    const added = await patiently(() => this.#file.db.transaction().execute((db) => addJob(db, job)));
    if (added) return { job: toJobRecord(added), created: true };
    const known = await this.find(job.tenant, job.id);
    // Only a removal between the two statements leaves neither.
    return known ? { job: known, created: false } : this.submit(job);
  }

  async find(tenant: string, id: string): Promise<JobRecord | undefined> {
    const query = this.#file.db.selectFrom("jobs").selectAll().where("tenant", "=", tenant).where("id", "=", id);
    const row = await patiently(() => query.executeTakeFirst());
    return row && toJobRecord(row);
  }

  async unfinished(): Promise<JobRecord[]> {
    const query = this.#file.db.selectFrom("jobs").selectAll().where("state", "in", UNFINISHED);
    const rows = await patiently(() => query.orderBy("createdAtMs").orderBy(sql`rowid`).execute());
    return rows.map(toJobRecord);
  }

  async countUnfinished(tenant: string): Promise<number> {
    const query = this.#file.db
      .selectFrom("jobs")
      .select((jobs) => jobs.fn.countAll<number>().as("count"))
      .where("tenant", "=", tenant)
      .where("state", "in", UNFINISHED);
    return (await patiently(() => query.executeTakeFirstOrThrow())).count;
  }

  async begin(tenant: string, id: string): Promise<StartedJob | undefined> {
    const change = {
      state: unlessCancelled("running"),
      attempt: sql<number>`attempt + 1 - cancelRequested`,
      tries: sql<number>`tries + 1`,
      progress: 0,
    };
    const row = await this.#change(tenant, id, change, (jobs) => jobs("state", "in", UNFINISHED));
    if (row?.state !== "running") return undefined;
    const query = this.#file.db.selectFrom("requests").select("request").where("tenant", "=", tenant);
    const { request } = await patiently(() => query.where("id", "=", id).executeTakeFirstOrThrow());
    return { ...toJobRecord(row), tries: row.tries, request };
  }

  async reportProgress(tenant: string, id: string, attempt: number, progress: number): Promise<Verdict> {
    const change = { progress: sql<number>`max(progress, min(1, ${progress}))` };
    const row = await this.#change(tenant, id, change, isCurrent(attempt));
    if (!row) return "lost";
    return row.cancelRequested ? "cancel" : "go-on";
  }

  async complete(tenant: string, id: string, attempt: number, files: ResultFile[]): Promise<boolean> {
    const change = {
      state: unlessCancelled("done"),
      files: sql<string | null>`iif(cancelRequested, NULL, ${JSON.stringify(files)})`,
      progress: sql<number>`iif(cancelRequested, progress, 1)`,
    };
    return (await this.#change(tenant, id, change, isCurrent(attempt)))?.state === "done";
  }

  async fail(tenant: string, id: string, attempt: number, error: ErrorRecord, retry: boolean): Promise<boolean> {
    const text = retry ? null : JSON.stringify(error);
    const change = {
      state: unlessCancelled(retry ? "queued" : "failed"),
      error: sql<string | null>`iif(cancelRequested, NULL, ${text})`,
    };
    return (await this.#change(tenant, id, change, isCurrent(attempt))) !== undefined;
  }

  async handOver(tenant: string, id: string, attempt: number): Promise<boolean> {
    const change = { state: unlessCancelled("queued"), tries: sql<number>`tries - 1` };
    return (await this.#change(tenant, id, change, isCurrent(attempt))) !== undefined;
  }

  async confirmCancelled(tenant: string, id: string, attempt: number): Promise<boolean> {
    const isAsked = (jobs: Jobs) => jobs.and([isCurrent(attempt)(jobs), jobs("cancelRequested", "=", 1)]);
    return (await this.#change(tenant, id, { state: "cancelled" }, isAsked)) !== undefined;
  }

  async requestCancel(tenant: string, id: string): Promise<JobRecord | undefined> {
    const change = { state: sql<JobState>`iif(state = 'queued', 'cancelled', state)`, cancelRequested: 1 };
    const row = await this.#change(tenant, id, change, (jobs) => jobs("state", "in", UNFINISHED));
    return row ? toJobRecord(row) : this.find(tenant, id);
  }

  async retry(tenant: string, id: string): Promise<JobRecord | undefined> {
    const change = { state: "queued", progress: 0, tries: 0, cancelRequested: 0, error: null } as const;
    const row = await this.#change(tenant, id, change, (jobs) => jobs("state", "in", RETRYABLE));
    return row ? toJobRecord(row) : this.find(tenant, id);
  }

  async remove(tenant: string, id: string): Promise<boolean> {
    const query = this.#file.db
      .deleteFrom("jobs")
      .where("tenant", "=", tenant)
      .where("id", "=", id)
      .where("state", "in", ENDED)
      .returning("id");
    return (await patiently(() => query.executeTakeFirst())) !== undefined;
  }

  putNetwork(network: NewNetwork, replaces?: string): Promise<{ network: NetworkRecord; created: boolean }> {
    return putNetwork(this.#file.db, network, replaces);
  }

  currentNetwork(tenant: string): Promise<NetworkRecord | undefined> {
    return currentNetwork(this.#file.db, tenant);
  }

  network(tenant: string, version: string): Promise<NetworkRecord | undefined> {
    return findNetwork(this.#file.db, tenant, version);
  }

  networkVersions(tenant: string): Promise<NetworkSummary[]> {
    return listNetworks(this.#file.db, tenant);
  }

  check(): Promise<void> {
    return proveWrite(this.#file.db);
  }

  close(): Promise<void> {
    this.#closed ??= this.#file.close();
    return this.#closed;
  }

  /** The row after the change; undefined when there is none in a state that allows it. */
  #change(
    tenant: string,
    id: string,
    change: Change,
    allowed: (jobs: Jobs) => ReturnType<Jobs>,
  ): Promise<JobRow | undefined> {
    const update = this.#file.db
      .updateTable("jobs")
      .set({ ...change, updatedAtMs: Date.now() })
      .where("tenant", "=", tenant)
      .where("id", "=", id)
      .where(allowed)
      .returningAll();
    return patiently(() => update.executeTakeFirst());
  }
}

/** The fence: holds only for the attempt that runs now. */
function isCurrent(attempt: number) {
  return (jobs: Jobs) => jobs.and([jobs("state", "=", "running"), jobs("attempt", "=", attempt)]);
}

function unlessCancelled(state: JobState) {
  return sql<JobState>`iif(cancelRequested, 'cancelled', ${state})`;
}

/** Adds a job with its request, or neither; undefined when it is there already. */
async function addJob(db: Transaction<Schema>, { request, ...job }: NewJob): Promise<JobRow | undefined> {
  const insert = db.insertInto("jobs").values({ ...newRow(Date.now()), ...job });
  const added = await insert
    .onConflict((conflict) => conflict.doNothing())
    .returningAll()
    .executeTakeFirst();
  const { tenant, id } = job;
  if (added) await db.insertInto("requests").values({ tenant, id, request }).execute();
  return added;
}

function newRow(nowMs: number) {
  const counters = { progress: 0, attempt: 0, tries: 0, cancelRequested: 0 };
  return { ...counters, state: "queued" as const, error: null, files: null, createdAtMs: nowMs, updatedAtMs: nowMs };
}

function toJobRecord({ tries: _tries, ...row }: JobRow): JobRecord {
  return {
    ...row,
    cancelRequested: row.cancelRequested === 1,
    error: row.error === null ? null : JSON.parse(row.error),
    files: row.files === null ? null : JSON.parse(row.files),
  };
}
