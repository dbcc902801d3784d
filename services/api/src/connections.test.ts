import { once } from "node:events";
import { connect, type Socket } from "node:net";
import { text } from "node:stream/consumers";
import { createTempDir } from "@fellmark/testkit";
import { afterAll, afterEach, describe, expect, test } from "vitest";
import { STREAMS } from "./jobs/streams.ts";
import { requestExample } from "./openapi/request-example.ts";
import { type ApiServer, serve } from "./server.ts";
import { createFakeService } from "./testing/fakes.ts";

const dir = createTempDir();
let server: ApiServer | undefined;
const sockets: Socket[] = [];

afterEach(async () => {
  for (const socket of sockets.splice(0)) socket.destroy();
  await server?.close(0);
});
afterAll(() => dir.remove());

async function start(env: Record<string, string> = {}) {
  const fakes = createFakeService(dir.path, { FELLMARK_PORT: "0", ...env });
  server = await serve(fakes.context);
  return { ...fakes, address: server.address };
}

async function open(address: string): Promise<Socket> {
  const { hostname, port } = new URL(address);
  const socket = connect({ host: hostname, port: Number(port), allowHalfOpen: true });
  socket.on("error", () => undefined);
  sockets.push(socket);
  await once(socket, "connect");
  return socket;
}

const FAST = { FELLMARK_HEADERS_TIMEOUT_MS: "60", FELLMARK_BODY_TIMEOUT_MS: "60", FELLMARK_IDLE_TIMEOUT_MS: "60" };
const REQUEST = "Host: localhost\r\nContent-Type: application/json\r\n";

describe("connections that cost their sender nothing (F31)", () => {
  test("headers that do not end are answered with 408 and closed, whatever still comes", async () => {
    const { address } = await start(FAST);
    const socket = await open(address);
    socket.write("GET /health/live HTTP/1.1\r\nHost: localhost\r\nX-Slow: ");
    const drip = setInterval(() => socket.write("a"), 5);
    const reply = await text(socket).finally(() => clearInterval(drip));
    expect(reply).toMatch(/^HTTP\/1\.1 408 /);
  });

  test("1,000 sockets that say nothing are closed in their time, and another caller is answered meanwhile", async () => {
    const { address } = await start({
      ...FAST,
      FELLMARK_MAX_CONNECTIONS: "1100",
      FELLMARK_MAX_CONNECTIONS_PER_ADDRESS: "1100",
    });
    const silent = await Promise.all(Array.from({ length: 1000 }, () => open(address)));
    expect((await fetch(`${address}/health/live`)).status).toBe(200);
    await Promise.all(silent.map((socket) => text(socket)));
    expect((await fetch(`${address}/health/live`)).status).toBe(200);
  });

  test("a connection that is idle after its reply is closed", async () => {
    const { address } = await start(FAST);
    const socket = await open(address);
    socket.write("GET /health/live HTTP/1.1\r\nHost: localhost\r\n\r\n");
    expect(await text(socket)).toMatch(/^HTTP\/1\.1 200 [\s\S]*Connection: keep-alive/);
  });

  test("a body that trickles is answered with 408 and makes no job", async () => {
    const { address, ledger } = await start(FAST);
    const socket = await open(address);
    socket.write(`POST /v1/coverages HTTP/1.1\r\n${REQUEST}Content-Length: 100000\r\n\r\n{`);
    const drip = setInterval(() => socket.write(" "), 5);
    const reply = await text(socket).finally(() => clearInterval(drip));
    expect(reply).toMatch(/^HTTP\/1\.1 408 /);
    expect(reply).toContain('"code":"body_too_slow"');
    expect(ledger.rows.size).toBe(0);
  });

  test("headers of over 16 kB are refused, and requests that are sent ahead are answered in turn", async () => {
    const { address } = await start(FAST);
    const large = await open(address);
    large.write(`GET /health/live HTTP/1.1\r\nHost: localhost\r\nX-Large: ${"a".repeat(20_000)}\r\n\r\n`);
    expect(await text(large)).toMatch(/^HTTP\/1\.1 431 /);
    const ahead = await open(address);
    ahead.write("GET /health/live HTTP/1.1\r\nHost: localhost\r\n\r\n".repeat(20));
    expect((await text(ahead)).match(/HTTP\/1\.1 200 /g)).toHaveLength(20);
  });

  test("a caller that leaves in the middle of its body makes no job", async () => {
    const { address, ledger } = await start();
    const socket = await open(address);
    socket.write(`POST /v1/coverages HTTP/1.1\r\n${REQUEST}Content-Length: 100000\r\n\r\n{`);
    socket.destroy();
    await once(socket, "close");
    expect((await fetch(`${address}/health/live`)).status).toBe(200);
    expect(ledger.rows.size).toBe(0);
  });
});

describe("callers behind a trusted proxy", () => {
  /** Spellings of one caller. */
  const SPELLINGS = ["192.0.2.7", "::ffff:192.0.2.7", "::FFFF:c000:0207", "[::ffff:192.0.2.7]:4711", "192.0.2.7:80"];

  test("are one caller in every spelling of their address, for their event streams and their requests", async () => {
    const { address, context } = await start({
      FELLMARK_TRUSTED_PROXIES: "1",
      FELLMARK_MAX_REQUESTS_PER_MINUTE: String(SPELLINGS.length),
    });
    const held = Array.from({ length: STREAMS.perCaller }, () => context.streams.take("192.0.2.7"));
    expect(held.every((giveBack) => giveBack !== undefined)).toBe(true);
    const body = JSON.stringify(requestExample);
    const headers = { "Content-Type": "application/json" };
    const posted = await fetch(`${address}/v1/coverages`, { method: "POST", headers, body });
    const { id } = (await posted.json()) as { id: string };
    const ask = (from: string) =>
      fetch(`${address}/v1/coverages/${id}/events`, { headers: { "X-Forwarded-For": from } });
    for (const spelling of SPELLINGS)
      expect(await (await ask(spelling)).json()).toMatchObject({ code: "too_many_streams" });
    expect(await (await ask(SPELLINGS[0])).json()).toMatchObject({ status: 429, code: "rate_limited" });
    const other = await ask("192.0.2.8");
    expect(other.status).toBe(200);
    await other.body?.cancel();
  });

  test("cannot pass for others where no proxy is trusted, nor by hops before the trusted one", async () => {
    for (const env of [{}, { FELLMARK_TRUSTED_PROXIES: "1" }]) {
      const { address } = await start({ ...env, FELLMARK_MAX_REQUESTS_PER_MINUTE: "3" });
      const statuses: number[] = [];
      for (let index = 0; index < 4; index++) {
        const headers = { "X-Forwarded-For": `198.51.100.${index}, 203.0.113.9` };
        statuses.push((await fetch(`${address}/v1/cable-classes`, { headers })).status);
      }
      expect(statuses).toEqual([200, 200, 200, 429]);
      await server?.close(0);
    }
  });
});
