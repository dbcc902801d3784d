import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { repoRoot } from "./workspace.ts";

interface Service {
  build?: string;
  command: string[];
  environment?: Record<string, string>;
  volumes: string[];
  depends_on?: Record<string, { condition: string }>;
  healthcheck?: { test: string[] };
}

interface Compose {
  services: Record<"redis" | "api" | "worker", Service>;
  volumes: Record<string, unknown>;
}

function readText(path: string): string {
  return readFileSync(join(repoRoot, path), "utf8");
}

const compose: Compose = parse(readText("docker-compose.yml"), { merge: true });
const { redis, api, worker } = compose.services;

describe("docker-compose.yml", () => {
  test("starts redis, api and worker, and nothing else", () => {
    expect(Object.keys(compose.services).sort()).toEqual(["api", "redis", "worker"]);
  });

  test("redis loses no job: nothing is evicted, every write is logged, its folder is a volume", () => {
    expect(redis.command.join(" ")).toContain("--maxmemory-policy noeviction");
    expect(redis.command.join(" ")).toContain("--appendonly yes");
    expect(redis.volumes).toContain("redis:/data");
  });

  test("api and worker wait for a healthy redis and share queue, ledger and terrain", () => {
    for (const service of [api, worker]) {
      expect(service.depends_on?.redis?.condition).toBe("service_healthy");
      expect(service.environment?.REDIS_URL).toBe("redis://redis:6379");
      expect(service.volumes.map((volume) => volume.match(/:(\/[a-z]+)/)?.[1])).toEqual(["/data", "/terrain"]);
      expect(service.environment?.FELLMARK_DATA_DIR).toBe("/data");
      expect(service.environment?.FELLMARK_TERRAIN_DIR).toBe("/terrain");
    }
    expect(api.healthcheck?.test.join(" ")).toContain("/health/ready");
    expect(redis.healthcheck?.test).toEqual(["CMD", "redis-cli", "ping"]);
  });

  test.each(["api", "worker"] as const)("%s runs a program of the repository with settings that it knows", (name) => {
    const { command, environment } = compose.services[name];
    expect(command).toEqual(["node", `services/${name}/dist/main.js`]);
    expect(existsSync(join(repoRoot, `services/${name}/src/main.ts`))).toBe(true);
    const sources = [`services/${name}/src/config.ts`, "packages/jobs/src/config.ts"];
    const known = sources.filter((path) => existsSync(join(repoRoot, path))).map(readText);
    for (const setting of Object.keys(environment ?? {})) expect(known.join()).toContain(setting);
  });

  test("every named volume is declared", () => {
    const used = Object.values(compose.services).flatMap((service) => service.volumes);
    const named = used.map((volume) => volume.split(":")[0]).filter((source) => /^[a-z]+$/.test(source));
    expect([...new Set(named)].sort()).toEqual(Object.keys(compose.volumes).sort());
  });
});

test("the Dockerfile builds from the lock, on the Node that package.json names, and runs as no root", () => {
  const lines = readText("Dockerfile").split("\n");
  expect(lines.filter((line) => line.startsWith("FROM")).every((line) => line.startsWith("FROM node:20-slim"))).toBe(
    true,
  );
  expect(lines.join("\n")).toContain("npm ci && npx tsc -b");
  expect(lines).toContain("USER node");
});
