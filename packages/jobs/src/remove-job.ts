import type { Ledger, ResultStore } from "@fellmark/ledger";
import { isStorageFault } from "./is-retryable.ts";

/** Ledger and store that hold a job and its files. */
export interface JobStorage {
  ledger: Pick<Ledger, "find" | "remove" | "expire">;
  store: Pick<ResultStore, "remove">;
}

/** Removes a job that has ended, with its files; false when there is none. Works on a full disk. */
export function removeJob({ ledger, store }: JobStorage, tenant: string, id: string): Promise<boolean> {
  return removeFiles({ ledger, store }, { tenant, id }, () => ledger.remove(tenant, id));
}

/** Removes the files of a result and tells the reason in its row; false when it was pinned or is not a result. */
export function expireJob({ ledger, store }: JobStorage, tenant: string, id: string, reason: string): Promise<boolean> {
  const expire = async () => (await ledger.expire(tenant, id, reason)) !== undefined;
  return removeFiles({ ledger, store }, { tenant, id }, expire);
}

/**
 * The row changes first: from then on nobody is shown files that are about to go. Where the disk is too full for the
 * change, the files make room for it.
 */
async function removeFiles(
  { ledger, store }: JobStorage,
  { tenant, id }: { tenant: string; id: string },
  changeRow: () => Promise<boolean>,
): Promise<boolean> {
  let isChanged: boolean;
  try {
    isChanged = await changeRow();
  } catch (error) {
    const job = isStorageFault(error) ? await ledger.find(tenant, id) : undefined;
    if (!job || job.state === "queued" || job.state === "running") throw error;
    await store.remove(tenant, id);
    isChanged = await changeRow();
  }
  if (isChanged) await store.remove(tenant, id);
  return isChanged;
}
