import { existsSync } from "node:fs";
import { delimiter, join } from "node:path";
import { fileURLToPath } from "node:url";

/** Absolute path of the folder of test data beside the repository; FELLMARK_SHARED names another one. */
export const sharedDir = process.env.FELLMARK_SHARED ?? fileURLToPath(new URL("../../../../shared", import.meta.url));

/**
 * Whether something that lies outside the repository is there; the answer goes to `describe.skipIf(!needs(...))`.
 * Throws where FELLMARK_REQUIRE_ALL=1 and it is absent, so that an automatic run cannot skip unseen.
 */
export function needs(what: string, present: boolean): boolean {
  if (present || process.env.FELLMARK_REQUIRE_ALL !== "1") return present;
  throw new Error(`${what} is absent, and FELLMARK_REQUIRE_ALL=1 allows no skipped test`);
}

/** Whether the test data of ../shared is there. Throws as `needs` does. */
export function needsShared(): boolean {
  return needs("../shared", existsSync(join(sharedDir, "terrain")));
}

/** Whether a program of this name stands on the PATH. */
export function hasCommand(name: string): boolean {
  const folders = (process.env.PATH ?? "").split(delimiter);
  return folders.some((folder) => folder !== "" && existsSync(join(folder, name)));
}
