import { readdirSync } from "node:fs";

let serverPath: RegExp | undefined;

/**
 * The text with every path of the server's disk replaced. A path is told from a JSON pointer by its first folder, which
 * is one of those at the root of the disk.
 */
export function hidePaths(text: string): string {
  serverPath ??= compileServerPath(readdirSync("/"));
  return text.replace(serverPath, "[path]");
}

export function compileServerPath(rootFolders: readonly string[]): RegExp {
  const names = rootFolders.map((name) => name.replaceAll(/[^\w-]/g, "\\$&")).join("|");
  return new RegExp(`(?<![\\w./-])(?:file://)?/(?:${names})(?=/)[^\\s"'<>,;]*`, "g");
}
