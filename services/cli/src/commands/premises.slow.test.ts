import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { createTempDir } from "@fellmark/testkit";
import { afterAll, expect, it } from "vitest";
import { runCaptured } from "../testing/run-captured.ts";

const folder = createTempDir();
afterAll(() => folder.remove());

const run = (...words: string[]) => runCaptured(words, { callerDir: folder.path });

it("imports a file, says of every row why it was left out, and finds what was imported", async () => {
  writeFileSync(
    join(folder.path, "list.csv"),
    "nr,address,lon,lat\n1,12 Alder Row,-72,44\n2,14 Alder\u001b[2J Row,-72,44.1\n3,Oak,x,1\n",
  );
  expect((await run("premises", "search", "12 alder row")).stdout).toContain("no premises were imported");
  const imported = await run("premises", "import", "list.csv", "--map", "id=nr");
  expect(imported.code).toBe(0);
  expect(imported.stdout).toContain("2 of 3 rows taken; the list has 2: 2 added");
  expect(imported.stdout).toContain('row 4 lon: not_a_number: "x" is not a number');
  expect((await run("premises", "search", "12 Aldr Row")).stdout).toBe("1  12 Alder Row  -72  44\n");
  expect((await run("premises", "search", "alder row")).stdout).toContain("match equally well");
  expect((await run("premises", "search", "alder row")).stdout).not.toContain("\u001b");
  expect((await run("premises", "search", "15 alder row")).stdout).toBe("not known\n");
  expect((await run("premises", "search", "--near=-72,44.09")).stdout).toMatch(/^1111\.\d m\s+2 /);
});

it("refuses a bad file with exit code 2 and names the fault", async () => {
  writeFileSync(join(folder.path, "empty.csv"), "");
  const { code, stderr } = await run("premises", "import", "empty.csv");
  expect(code).toBe(2);
  expect(stderr).toContain("the file is empty");
});
