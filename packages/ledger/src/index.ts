export { openFolderStore } from "./folder-store.ts";
export type {
  AttemptKey,
  JobKind,
  JobListQuery,
  JobRecord,
  JobState,
  KeptResult,
  Ledger,
  NewJob,
  ResultStore,
  StartedJob,
  SubmitLimit,
  Verdict,
  WorkerLedger,
  WorkerStore,
} from "./job-record.ts";
export type { EmbedToken, LayerShelf, LayerSource, LayerVersion } from "./layer-record.ts";
export { type Leases, openSqliteLeases } from "./leases.ts";
export type { NetworkRecord, NetworkShelf } from "./network-record.ts";
export { type ObjectStore, openObjectStore } from "./object-store.ts";
export { openPremisesFile } from "./premises-reader.ts";
export type {
  PremisesChange,
  PremisesPoints,
  PremisesReader,
  PremisesRecord,
  PremisesState,
  PremisesWord,
  PremisesWriter,
} from "./premises-record.ts";
export { createPremisesFile } from "./premises-writer.ts";
export type { ResultFile } from "./result-file.ts";
export { openSqliteLedger } from "./sqlite-ledger.ts";
export { toStorageError } from "./storage-error.ts";
