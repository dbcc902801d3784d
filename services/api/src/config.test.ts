import { existsSync, readFileSync } from "node:fs";
import { InputError } from "@fellmark/units";
import { expect, test } from "vitest";
import { toConfig } from "./config.ts";

test("nothing set gives the defaults, for this machine only", () => {
  expect(toConfig({})).toMatchObject({ host: "127.0.0.1", port: 8080, redisUrl: undefined, trustedProxies: 0 });
});

test("all faults are reported at once, and none becomes the default", () => {
  const raw = {
    FELLMARK_PORT: "80a",
    FELLMARK_MAX_UNFINISHED: "0",
    FELLMARK_LOG_LEVEL: "loud",
    FELLMARK_SHUTDOWN_MS: "1.5",
    FAULT_POINT: "sometimes",
  };
  const faultsOf = () => {
    try {
      toConfig(raw);
    } catch (error) {
      return error instanceof InputError ? error.problems.map((problem) => problem.pointer).sort() : error;
    }
    return [];
  };
  expect(faultsOf()).toEqual(Object.keys(raw).sort());
});

test("the configuration cannot be changed later", () => {
  expect(Object.isFrozen(toConfig({}))).toBe(true);
});

const document = new URL("../../../docs/settings.md", import.meta.url);

test.skipIf(!existsSync(document))("every setting is documented", () => {
  const names = new Set<string>();
  toConfig(new Proxy({}, { get: (_target, name) => void names.add(String(name)) }));
  // For tests only: it breaks the worker on purpose.
  names.delete("FAULT_POINT");
  const text = readFileSync(document, "utf8");
  expect([...names].filter((name) => !text.includes(name))).toEqual([]);
});
