import type { AttemptKey, JobRecord, WorkerLedger, WorkerStore } from "@fellmark/ledger";
import { isCurrentAttempt } from "./is-current-attempt.ts";
import { expireJob } from "./remove-job.ts";

/** One disagreement between the ledger and the folders. */
export interface LedgerFinding {
  code: "ledger_corrupt" | "result_damaged" | "folder_left" | "work_left";
  /** Tenant and job; empty for the ledger as a whole. */
  tenant: string;
  id: string;
  detail: string;
  isMended: boolean;
}

export interface LedgerCheck {
  /** Results whose every file was read. */
  results: number;
  findings: LedgerFinding[];
}

export interface CheckedStorage {
  ledger: WorkerLedger;
  store: WorkerStore;
}

/**
 * Compares the ledger with the folders of results, reading every published file. With `mend` a result that lacks a file,
 * or whose file is damaged, expires with that reason, so that a retry computes it again; folders that belong to no job
 * are removed. May run beside the service. A ledger file that is corrupt is only reported.
 */
export async function checkLedger(storage: CheckedStorage, { mend }: { mend: boolean }): Promise<LedgerCheck> {
  await storage.ledger.check();
  const corruption = (await storage.ledger.findCorruption()).map((detail) => ({ detail, tenant: "", id: "" }));
  const { results, damaged } = await checkResults(storage, mend);
  const findings: LedgerFinding[] = [
    ...corruption.map((found) => ({ code: "ledger_corrupt" as const, isMended: false, ...found })),
    ...damaged,
    ...(await findLeftFolders(storage, mend)),
    ...(await findLeftWork(storage, mend)),
  ];
  return { results, findings };
}

async function checkResults({ ledger, store }: CheckedStorage, mend: boolean) {
  const damaged: LedgerFinding[] = [];
  const listed = await ledger.listResults();
  for (const { tenant, id } of listed) {
    const job = await ledger.find(tenant, id);
    const detail = job?.state === "done" ? await store.findDamage(job) : undefined;
    // It may have been removed or computed anew while its files were read.
    if (!job || detail === undefined || !isSameResult(job, await ledger.find(tenant, id))) continue;
    const isMended = mend && (await giveUpResult({ ledger, store }, job, detail));
    damaged.push({ code: "result_damaged", tenant, id, detail, isMended });
  }
  return { results: listed.length, damaged };
}

function isSameResult(before: JobRecord, now: JobRecord | undefined): boolean {
  return now?.state === "done" && now.token === before.token;
}

/** A pin keeps a result for as long as it is there. */
async function giveUpResult(storage: CheckedStorage, { tenant, id, pinned }: JobRecord, detail: string) {
  if (pinned) await storage.ledger.setPinned(tenant, id, false);
  return expireJob(storage, tenant, id, `the result was lost: ${detail}`);
}

async function findLeftFolders({ ledger, store }: CheckedStorage, mend: boolean): Promise<LedgerFinding[]> {
  const left: LedgerFinding[] = [];
  const isKept = async (attempt: AttemptKey) => {
    const { tenant, id, token } = attempt;
    if (isCurrentAttempt(await ledger.find(tenant, id), attempt)) return true;
    left.push({ code: "folder_left", tenant, id, detail: `folder of start ${token}`, isMended: mend });
    return !mend;
  };
  await store.sweep(isKept);
  return left;
}

async function findLeftWork({ ledger, store }: CheckedStorage, mend: boolean): Promise<LedgerFinding[]> {
  const left: LedgerFinding[] = [];
  await store.sweepWork(async (tenant, id) => {
    if (mayContinue(await ledger.find(tenant, id))) return true;
    left.push({ code: "work_left", tenant, id, detail: "folder of answers so far", isMended: mend });
    return !mend;
  });
  return left;
}

/** Another attempt may take up what the job has left in its work folder. */
export function mayContinue(job: JobRecord | undefined): boolean {
  return job !== undefined && job.state !== "done" && job.state !== "expired";
}
