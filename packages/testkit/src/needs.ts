import { existsSync } from "node:fs";
import { delimiter, join } from "node:path";
import { fileURLToPath } from "node:url";

/** Absolute path of the test data folder beside the repository; FELLMARK_SHARED names another one. */
export const sharedDir = process.env.FELLMARK_SHARED ?? fileURLToPath(new URL("../../../../shared", import.meta.url));

/**
 * Returns `present`, the presence of something outside the repository, for `describe.skipIf(!needs(...))`.
 * Throws if it is absent and FELLMARK_REQUIRE_ALL=1, so that an automatic run cannot skip tests unnoticed.
 */
export function needs(what: string, present: boolean): boolean {
  if (present || process.env.FELLMARK_REQUIRE_ALL !== "1") return present;
  throw new Error(`${what} is absent, and FELLMARK_REQUIRE_ALL=1 allows no skipped test`);
}

/** Returns true where the test data of ../shared is present. Throws as `needs` does. */
export function needsShared(): boolean {
  return needs("../shared", existsSync(join(sharedDir, "terrain")));
}

/** Returns true where the PATH contains a program of this name. */
export function hasCommand(name: string): boolean {
  const folders = (process.env.PATH ?? "").split(delimiter);
  return folders.some((folder) => folder !== "" && existsSync(join(folder, name)));
}
