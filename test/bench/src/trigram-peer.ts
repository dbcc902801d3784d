import { DatabaseSync } from "@photostructure/sqlite";

/** SQLite's own way to find text with typos: rows that share the most trigrams, by bm25. Source: sqlite.org/fts5.html, 4.3.4. */
export async function openTrigramPeer(
  lines: readonly string[],
): Promise<{ search(query: string): string[]; close(): void }> {
  const database = new DatabaseSync(":memory:");
  database.exec("CREATE VIRTUAL TABLE lines USING fts5 (line, tokenize = trigram)");
  database.exec("BEGIN");
  const insert = database.prepare("INSERT INTO lines VALUES (?)");
  for (const line of lines) insert.run(line);
  database.exec("COMMIT");
  const find = database.prepare("SELECT line FROM lines WHERE lines MATCH ? ORDER BY rank LIMIT 10");
  return {
    search(query) {
      const trigrams = Array.from({ length: Math.max(1, query.length - 2) }, (_, at) => query.slice(at, at + 3));
      const match = trigrams.map((trigram) => `"${trigram.replaceAll('"', '""')}"`).join(" OR ");
      return (find.all(match) as { line: string }[]).map(({ line }) => line);
    },
    close: () => database.close(),
  };
}
