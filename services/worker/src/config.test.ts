import { describe, expect, it } from "vitest";
import { toConfig } from "./config.ts";

describe("worker configuration", () => {
  it("has a default for everything, and is frozen", () => {
    const config = toConfig({});
    expect(config).toMatchObject({
      redisUrl: undefined,
      concurrency: 1,
      threads: undefined,
      deadlineMs: 600_000,
      memoryCapBytes: 4 * 2 ** 30,
      maxAttempts: 3,
      leaseMs: 30_000,
      shutdownMs: 25_000,
      faultPoint: undefined,
    });
    expect(Object.isFrozen(config)).toBe(true);
  });

  it("names every fault at once", () => {
    const raw = {
      FELLMARK_CONCURRENCY: "two",
      FELLMARK_DEADLINE_MS: "1e9",
      FELLMARK_LOG_LEVEL: "loud",
      REDIS_URL: "localhost",
      FAULT_POINT: "somewhere",
    };
    try {
      toConfig(raw);
      expect.unreachable();
    } catch (error) {
      const { code, problems } = error as { code: string; problems: { pointer: string }[] };
      expect(code).toBe("bad_configuration");
      expect(problems.map(({ pointer }) => pointer).sort()).toEqual(Object.keys(raw).sort());
    }
  });
});
