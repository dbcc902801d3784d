import { describe, expect, it } from "vitest";
import { toStorageError } from "./storage-error.ts";

describe("fault of the disk (F18, F19)", () => {
  it.each(["ENOSPC", "EDQUOT", "EIO", "EMFILE", "ENFILE", "EROFS", "EACCES"])("%s may pass", (code) => {
    const cause = Object.assign(new Error(code), { code });
    expect(toStorageError(cause)).toMatchObject({ name: "TransientError", code: "storage_failed", cause });
  });

  it.each([Object.assign(new Error("no"), { code: "EEXIST" }), new Error("ENOSPC"), "ENOSPC", undefined])(
    "%s is left as it is",
    (error) => expect(toStorageError(error)).toBe(error),
  );
});
