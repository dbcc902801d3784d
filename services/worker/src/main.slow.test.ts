import { spawn } from "node:child_process";
import { once } from "node:events";
import { fileURLToPath } from "node:url";
import { createTempDir, findFreePort, type TempDir, watchLines } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";

/** Runs the built program. */
describe("worker program", () => {
  let folder: TempDir;
  beforeEach(() => {
    folder = createTempDir();
  });
  afterEach(() => folder.remove());

  function start(env: Record<string, string>) {
    const program = fileURLToPath(new URL("../dist/main.js", import.meta.url));
    const child = spawn(process.execPath, [program], {
      env: { PATH: process.env.PATH, FELLMARK_DATA_DIR: folder.path, ...env },
    });
    return { child, exited: once(child, "exit"), out: watchLines(child.stdout), err: watchLines(child.stderr) };
  }

  it("takes jobs until SIGTERM, then exits with 0 (F7)", async () => {
    const { child, exited, out } = start({});
    await out.waitFor(/"msg":"ready for jobs"/);
    child.kill("SIGTERM");
    expect(await exited).toEqual([0, null]);
  });

  it("exits with 2 and names every fault of its settings (F47)", async () => {
    const { exited, err } = start({ FELLMARK_CONCURRENCY: "0", FELLMARK_LEASE_MS: "soon" });
    const [line] = await err.waitFor(/.+/);
    expect(JSON.parse(line)).toMatchObject({
      code: "bad_configuration",
      problems: [{ pointer: "FELLMARK_CONCURRENCY" }, { pointer: "FELLMARK_LEASE_MS" }],
    });
    expect(await exited).toEqual([2, null]);
  });

  it("exits with 1 and one clear line when there is no Redis (F47)", async () => {
    const { exited, err } = start({ REDIS_URL: `redis://127.0.0.1:${await findFreePort()}` });
    const [line] = await err.waitFor(/.+/);
    expect(JSON.parse(line)).toEqual({ code: "queue_unreachable", detail: "Redis does not answer" });
    expect(await exited).toEqual([1, null]);
    expect(err.lines).toHaveLength(1);
  });
});
