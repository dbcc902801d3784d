import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export interface TempDir {
  path: string;
  /** Removes the folder and all in it; twice is harmless. */
  remove(): void;
}

/** A new empty folder. Remove it in afterEach or afterAll. */
export function tempDir(prefix = "fellmark-"): TempDir {
  const path = mkdtempSync(join(tmpdir(), prefix));
  return { path, remove: () => rmSync(path, { recursive: true, force: true, maxRetries: 3 }) };
}
