import { afterEach, describe, expect, test, vi } from "vitest";
import { hasCommand, needs } from "./needs.ts";

describe("needs", () => {
  afterEach(() => vi.unstubAllEnvs());

  test("answers whether the thing is there", () => {
    vi.stubEnv("FELLMARK_REQUIRE_ALL", "");
    expect(needs("redis-server", true)).toBe(true);
    expect(needs("redis-server", false)).toBe(false);
  });

  test("an automatic run allows no skip, and the message names what is absent", () => {
    vi.stubEnv("FELLMARK_REQUIRE_ALL", "1");
    expect(needs("redis-server", true)).toBe(true);
    expect(() => needs("redis-server", false)).toThrow(/redis-server is absent/);
  });

  test("programs are found on the PATH only", () => {
    expect(hasCommand("node")).toBe(true);
    expect(hasCommand("no-such-program-fellmark")).toBe(false);
  });
});
