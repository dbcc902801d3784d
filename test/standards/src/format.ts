import type { DataFile, DataFolder } from "./data-files.ts";
import type { Outcome } from "./report.ts";

/** A form of check file: how it is told from its content, and what its rows say of the product. */
export interface FileFormat {
  recognises(file: DataFile): boolean;
  check(file: DataFile, folder: DataFolder): Iterable<Outcome>;
}

/** The folder whose files share one form, as the name of their table. */
export function folderLabel(path: string): string {
  const slash = path.lastIndexOf("/");
  return slash < 0 ? "*" : `${path.slice(0, slash)}/*`;
}

export function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
