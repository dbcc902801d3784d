/** Node 22 and later carry SQLite; the package for Node 20 has the same interface. */
export async function loadSqlite(): Promise<typeof import("@photostructure/sqlite")> {
  const builtIn = process.getBuiltinModule?.("node:sqlite");
  return builtIn ? (builtIn as typeof import("@photostructure/sqlite")) : await import("@photostructure/sqlite");
}
