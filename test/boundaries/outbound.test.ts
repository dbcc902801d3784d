import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { repoRoot } from "./workspace.ts";

/** Ways to open a connection. */
const OPENS = /\bfetch\(|from "node:(?:https?|http2|net|tls|dgram|dns)[/"]|new (?:WebSocket|EventSource)\(/;

/** Files that may: they listen, name statuses and addresses, or are the demo, which asks the service that it started. */
const ALLOWED = [
  "packages/testkit/src/free-port.ts",
  "services/api/src/http/caller.ts",
  "services/api/src/http/problem.ts",
  "services/api/src/server.ts",
  /^services\/cli\/src\/demo\//,
];

/** Sources that are shipped; pages run in a browser under a policy of their own. */
function listSources(): string[] {
  return ["packages", "services"].flatMap((top) =>
    readdirSync(join(repoRoot, top), { recursive: true, encoding: "utf8" })
      .filter((path) => /^(?!map\/)[^/]+\/src\/.*\.ts$/.test(path) && !/\.test\.ts$|\/testing\//.test(path))
      .map((path) => `${top}/${path}`),
  );
}

test("nothing that comes with a request can make the service open a connection (F38)", () => {
  const sources = listSources();
  expect(sources.length).toBeGreaterThan(500);
  const opening = sources.filter((file) => OPENS.test(readFileSync(join(repoRoot, file), "utf8")));
  const isAllowed = (file: string) =>
    ALLOWED.some((allowed) => (typeof allowed === "string" ? allowed === file : allowed.test(file)));
  expect(opening.filter((file) => !isAllowed(file))).toEqual([]);
  expect(opening).toContain("services/api/src/server.ts");
});
