export { openFolderStore } from "./folder-store.ts";
export * from "./job-key.ts";
export * from "./job-record.ts";
export { type LeaseKey, type Leases, openSqliteLeases } from "./leases.ts";
export * from "./network-record.ts";
export { openPremisesFile } from "./premises-reader.ts";
export * from "./premises-record.ts";
export { createPremisesFile } from "./premises-writer.ts";
export { openSqliteLedger } from "./sqlite-ledger.ts";
