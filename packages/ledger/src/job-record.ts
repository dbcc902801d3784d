import type { ErrorRecord } from "@fellmark/units";
import type { LayerShelf } from "./layer-record.ts";
import type { NetworkShelf } from "./network-record.ts";
import type { ResultFile } from "./result-file.ts";

export type JobState = "queued" | "running" | "done" | "failed" | "cancelled" | "expired";

/** Kind of result that a job computes; its request is of that kind. */
export type JobKind = "coverage" | "comparison" | "advice" | "batch";

/** One job of one tenant. The ledger row is the truth; the queue only dispatches. */
export interface JobRecord {
  tenant: string;
  /** 'j' + sha256 of tenant, canonical request, model version and terrain fingerprint. */
  id: string;
  kind: JobKind;
  /** Name that its request has; "" where it has none. */
  name: string;
  state: JobState;
  /** 0..1, only ever rises within an attempt. */
  progress: number;
  /** Times the job was started; 0 before the first. For people: the fence is the token. */
  attempt: number;
  /** Name of the last start, unique for all time; null before the first. Only who holds it may report, publish or finish. */
  token: string | null;
  modelVersion: string;
  terrainFingerprint: string;
  /** Seconds of one core that it is foreseen to take. */
  costS: number;
  cancelRequested: boolean;
  /** A pinned result is never removed for its age or size. */
  pinned: boolean;
  error: ErrorRecord | null;
  /** Files of the published result; null until done. */
  files: ResultFile[] | null;
  /** Milliseconds since the epoch; of a hashed file only the day of creation is a part. */
  createdAtMs: number;
  updatedAtMs: number;
}

export interface NewJob {
  tenant: string;
  id: string;
  kind: JobKind;
  name?: string;
  /** Canonical JSON. */
  request: string;
  modelVersion: string;
  terrainFingerprint: string;
  /** Seconds of one core that it is foreseen to take; absent: 0. */
  costS?: number;
}

/** One start of a job. A job that is removed and submitted again starts under another token. */
export interface AttemptKey {
  tenant: string;
  id: string;
  token: string;
}

/** A job that an attempt has just begun: only then is its request read, which may be large. */
export interface StartedJob extends JobRecord {
  token: string;
  /** Canonical JSON. */
  request: string;
  /** Attempts begun since the job was submitted or retried by hand, this one included; handed-over ones do not count. */
  tries: number;
}

/** Limits of a tenant's jobs that are queued or running. */
export interface SubmitLimit {
  maxUnfinished: number;
  /** Seconds of one core that all of them are foreseen to take; a single job may always be queued. Absent: no limit. */
  maxUnfinishedS?: number;
}

/** Selects jobs of one tenant; absent fields select all. */
export interface JobListQuery {
  tenant: string;
  kind?: JobKind;
  /** Empty: every state. */
  states?: readonly JobState[];
  /** Created at this time or later, milliseconds since the epoch. */
  createdFromMs?: number;
  /** Created before this time, milliseconds since the epoch. */
  createdBeforeMs?: number;
  /** Jobs of a page, 1 to MAX_JOBS_LISTED. */
  limit: number;
  /** `next` of the page before. */
  after?: string;
}

/** Jobs, newest first; `next` asks for the following page and is null on the last one. */
export interface JobPage {
  jobs: JobRecord[];
  next: string | null;
}

/** Instruction to a worker that reported progress. */
export type Verdict = "go-on" | "cancel" | "lost";

/**
 * The records of all jobs. Every method is atomic; every row belongs to one tenant. A cancel that was accepted holds:
 * whatever its worker says afterwards, the job ends as cancelled.
 */
export interface Ledger extends NetworkShelf {
  readonly layers: LayerShelf;
  /**
   * Adds the job unless the id is there already; the stored row comes back either way.
   * Throws FellmarkError 'too_many_jobs' for a new job over the limit, which is counted in the same transaction.
   */
  submit(job: NewJob, limit?: SubmitLimit): Promise<{ job: JobRecord; created: boolean }>;
  find(tenant: string, id: string): Promise<JobRecord | undefined>;
  /** Throws InputError for a cursor that is none. */
  listJobs(query: JobListQuery): Promise<JobPage>;
  /** Jobs that are queued or running, of all tenants, oldest first. */
  listUnfinished(): Promise<JobRecord[]>;
  /** Jobs of one tenant that are queued or running: for quotas. */
  countUnfinished(tenant: string): Promise<number>;
  /** queued or running -> running with attempt + 1, another token and progress 0; undefined when the job may not run. */
  begin(tenant: string, id: string): Promise<JobRecord | undefined>;
  reportProgress(attempt: AttemptKey, progress: number): Promise<Verdict>;
  /** running -> done; false when the attempt is no longer the current one. */
  complete(attempt: AttemptKey, files: ResultFile[]): Promise<boolean>;
  /** running -> failed, or -> queued again when `retry`; false when the attempt is no longer the current one. */
  fail(attempt: AttemptKey, error: ErrorRecord, retry: boolean): Promise<boolean>;
  /** running -> cancelled, by the worker that stopped it; false when the attempt is no longer the current one. */
  confirmCancelled(attempt: AttemptKey): Promise<boolean>;
  /** queued -> cancelled at once; running -> flagged, the worker confirms. The row as it now is, or undefined. */
  requestCancel(tenant: string, id: string): Promise<JobRecord | undefined>;
  /** failed, cancelled or expired -> queued; any other state is left as it is. Throws as `submit` over the limit. */
  retry(tenant: string, id: string, limit?: SubmitLimit): Promise<JobRecord | undefined>;
  setPinned(tenant: string, id: string, isPinned: boolean): Promise<JobRecord | undefined>;
  /** done -> expired with the reason, unless pinned; undefined when it was not. The files are the caller's to remove. */
  expire(tenant: string, id: string, reason: string): Promise<JobRecord | undefined>;
  /** Removes a row that is done, failed, cancelled or expired. True when a row went. */
  remove(tenant: string, id: string): Promise<boolean>;
  /** Proves that a write works. */
  check(): Promise<void>;
  close(): Promise<void>;
}

/** A published result as retention sees it. */
export interface KeptResult {
  tenant: string;
  id: string;
  kind: JobKind;
  bytes: number;
  endedAtMs: number;
  pinned: boolean;
}

/** Limits of a tenant's networks besides the current one and those that a queued or running job names. */
export interface NetworkLimits {
  /** Put before this time, milliseconds since the epoch: removed. */
  putBeforeMs: number;
  /** Sum of the newest documents above which older ones are removed. */
  maxBytes: number;
}

/** The ledger as a worker sees it. */
export interface WorkerLedger extends Ledger {
  /** Results of all tenants, the one that ended first first. */
  listResults(): Promise<KeptResult[]>;
  /** Failed, cancelled and expired jobs of all tenants, not pinned, that ended before this time. */
  listEndedBefore(timeMs: number): Promise<{ tenant: string; id: string }[]>;
  /** Returns what is wrong with the file of the ledger, in the words of its database; nothing where it is sound. */
  findCorruption(): Promise<string[]>;
  /** Returns how many documents it removed. */
  trimNetworks(limits: NetworkLimits): Promise<number>;
  begin(tenant: string, id: string): Promise<StartedJob | undefined>;
  /** running -> queued without counting the attempt, for a worker that must stop; false when it is not the current one. */
  handOver(attempt: AttemptKey): Promise<boolean>;
}

/** Results as folders of files, whole or absent. A full or broken disk is a TransientError 'storage_failed'. */
export interface ResultStore {
  /**
   * Throws TransientError 'storage_full' while less space is free than must stay free, 'storage_failed' while the folder
   * is not where it was.
   */
  requireRoom(): Promise<void>;
  /** Proves that a write works; throws as `requireRoom`, and 'storage_failed' for a disk that takes no write. */
  check(): Promise<void>;
  /** A fresh empty folder for this attempt to write into. */
  stage(attempt: AttemptKey): Promise<string>;
  /**
   * Renames the staged folder into place; not visible to readers until the ledger says done. Throws FellmarkError
   * 'bad_result', and publishes nothing, unless the folder holds exactly the files that the computation reported.
   */
  publish(attempt: AttemptKey, reported: readonly ResultFile[]): Promise<ResultFile[]>;
  /** Absolute path of a published file of the attempt that won. Throws NotFoundError for any name not in `files`. */
  findPath(job: JobRecord, name: string): string;
  /** Removes everything of a job. */
  remove(tenant: string, id: string): Promise<void>;
  /** Removes staged folders left by dead workers and published folders that lost the fence. Called at start. */
  sweep(isCurrent: (attempt: AttemptKey) => Promise<boolean>): Promise<number>;
}

/** The store as a worker sees it. */
export interface WorkerStore extends ResultStore {
  /** Returns what of a published result is missing or not as it was written; undefined where it is whole. Reads it all. */
  findDamage(job: JobRecord): Promise<string | undefined>;
  /** Space of the disk that is free for this process. */
  freeBytes(): Promise<number>;
  /** Removes the staged and published files of one attempt. */
  discard(attempt: AttemptKey): Promise<void>;
  /** Removes the staged and published files of every other attempt of the job. */
  discardOthers(attempt: AttemptKey): Promise<void>;
  /** Path of a folder in which attempts leave what the next may go on from; it may not be there yet. It goes with the job. */
  workFolder(tenant: string, id: string): string;
  /** Removes it, once the job is done. */
  discardWork(tenant: string, id: string): Promise<void>;
  /** Removes the work folders of jobs that will not go on. */
  sweepWork(isWanted: (tenant: string, id: string) => Promise<boolean>): Promise<void>;
}
