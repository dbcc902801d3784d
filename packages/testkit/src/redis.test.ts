import { once } from "node:events";
import { connect } from "node:net";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { hasCommand, needs } from "./needs.ts";
import { type RedisServer, spawnRedis } from "./redis.ts";

/** One command in the inline form of the Redis protocol, and its reply as text. */
async function ask(url: string, command: string): Promise<string> {
  const { hostname, port } = new URL(url);
  const socket = connect(Number(port), hostname);
  socket.write(`${command}\r\n`);
  const [reply] = await once(socket, "data");
  socket.destroy();
  return String(reply);
}

describe.skipIf(!needs("redis-server", hasCommand("redis-server")))("a real redis-server (needs redis-server)", () => {
  let redis: RedisServer;
  beforeAll(async () => {
    redis = await spawnRedis();
  });
  afterAll(() => redis.stop());

  test("evicts nothing", async () => {
    expect(await ask(redis.url, "CONFIG GET maxmemory-policy")).toContain("noeviction");
  });

  test("restarts after a crash with its data", async () => {
    await ask(redis.url, "SET mast 421");
    await redis.kill9();
    await redis.restart();
    expect(await ask(redis.url, "GET mast")).toContain("421");
  });
});
