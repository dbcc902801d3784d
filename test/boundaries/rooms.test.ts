import { posix } from "node:path";
import { describe, expect, test } from "vitest";
import { importsUnder } from "./workspace.ts";

/**
 * The rooms (folders) of services/api, lowest first: a file imports from its own room, from rooms before it, and from
 * files of the root that start nothing. Tests may also use `testing` and the examples of `openapi`.
 */
const API_ROOMS = [
  "children",
  "http",
  "health",
  "catalogue",
  "network",
  "premises",
  "places",
  "results",
  "jobs",
  "layers",
  "submissions",
  "openapi",
];

const API_SOURCES = "services/api/src";

/** Root files that a room may import: they hold types and settings. */
const OPEN_ROOT_FILES = ["context.ts", "config.ts"];

describe("rooms of services/api", () => {
  const imports = importsUnder(API_SOURCES).filter(({ fromTest }) => !fromTest);

  test("every folder is in the table", () => {
    const folders = new Set(imports.map(({ file }) => roomName(file)).filter((room) => room !== ""));
    expect([...folders].filter((room) => room !== "testing").sort()).toEqual([...API_ROOMS].sort());
  });

  test("no file imports from a room above its own", () => {
    const own = imports.filter(({ specifier }) => specifier.startsWith("."));
    expect(own.flatMap(({ file, specifier }) => breach(file, specifier))).toEqual([]);
  });

  test("a breach is caught", () => {
    expect(breach(`${API_SOURCES}/http/problem.ts`, "../jobs/job-state.ts")).toHaveLength(1);
    expect(breach(`${API_SOURCES}/http/problem.ts`, "../app.ts")).toHaveLength(1);
    expect(breach(`${API_SOURCES}/jobs/get-job.ts`, "../http/problem.ts")).toEqual([]);
  });
});

function breach(file: string, specifier: string): string[] {
  const room = roomName(file);
  if (room === "" || room === "testing") return [];
  const target = posix.join(posix.dirname(file), specifier);
  const targetRoom = roomName(target);
  const isAllowed =
    targetRoom === ""
      ? OPEN_ROOT_FILES.includes(posix.basename(target))
      : API_ROOMS.indexOf(targetRoom) !== -1 && API_ROOMS.indexOf(targetRoom) <= API_ROOMS.indexOf(room);
  return isAllowed ? [] : [`${file} imports ${target}`];
}

/** Name of the folder below the sources; empty for a file of the root. */
function roomName(file: string): string {
  const below = posix.relative(API_SOURCES, file).split("/");
  return below.length > 1 ? (below[0] ?? "") : "";
}
