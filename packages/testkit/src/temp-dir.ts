import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export interface TempDir {
  path: string;
  /** Removes the folder with its content; a second call is harmless. */
  remove(): void;
}

/** Creates an empty folder. Remove it in afterEach or afterAll. */
export function createTempDir(prefix = "fellmark-"): TempDir {
  const path = mkdtempSync(join(tmpdir(), prefix));
  return { path, remove: () => rmSync(path, { recursive: true, force: true, maxRetries: 3 }) };
}
