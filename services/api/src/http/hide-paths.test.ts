import { tmpdir } from "node:os";
import path from "node:path";
import { expect, test } from "vitest";
import { compileServerPath, hidePaths } from "./hide-paths.ts";

test("a path of the disk is hidden, wherever it stands in the text", () => {
  const file = path.join(tmpdir(), "terrain", "n40w077.hgt");
  expect(hidePaths(`there is no terrain folder ${file}`)).toBe("there is no terrain folder [path]");
  expect(hidePaths(`ENOENT: no such file, open '${file}' (file://${file})`)).toBe(
    "ENOENT: no such file, open '[path]' ([path]",
  );
});

test("JSON pointers, requests' paths and fractions stay", () => {
  const pattern = compileServerPath(["home", "var", "tmp"]);
  for (const text of ["/sites/3/lat is missing", "see /docs", "plan 25/5 Mbit/s", "GET /v1/rules", "a/var/b"])
    expect(text.replace(pattern, "[path]")).toBe(text);
});
