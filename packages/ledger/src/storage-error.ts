import { TransientError } from "@fellmark/units";

/** Codes of the system for a full, failing or read-only disk, for missing rights and for too many open files. */
const PASSING_CODES: ReadonlySet<string> = new Set([
  "ENOSPC",
  "EDQUOT",
  "EIO",
  "EMFILE",
  "ENFILE",
  "EROFS",
  "EACCES",
  "EPERM",
]);
const PASSING_TEXT = /^(database or disk is full|disk I\/O error|attempt to write a readonly database|unable to open)/;

/** TransientError 'storage_failed' for a fault of the disk that may be mended; any other error as it is. */
export function toStorageError(error: unknown): unknown {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  if (!PASSING_CODES.has(code) && !PASSING_TEXT.test(readSqliteText(error))) return error;
  return new TransientError("storage_failed", "the disk is full, broken or read-only", { cause: error });
}

/** Throws TransientError for a disk that is full or broken. */
export async function runOnDisk<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    throw toStorageError(error);
  }
}

/** Another connection holds the file. */
export function isBusy(error: unknown): boolean {
  return /^database (table )?is locked/.test(readSqliteText(error));
}

/**
 * SQLite's own fixed text of an error (sqlite3_errstr, https://www.sqlite.org/rescode.html), empty for other errors.
 * The package for Node 20 gives no result code for statements that return rows.
 */
function readSqliteText(error: unknown): string {
  return error instanceof Error && "code" in error && error.code === "ERR_SQLITE_ERROR" ? error.message : "";
}
