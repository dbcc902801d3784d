import { once } from "node:events";
import { get, type IncomingMessage } from "node:http";
import { connect, type Socket } from "node:net";
import { createTempDir } from "@fellmark/testkit";
import { afterAll, afterEach, expect, test } from "vitest";
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

async function start(env: Record<string, string> = {}): Promise<ApiServer> {
  server = await serve(createFakeService(dir.path, { FELLMARK_PORT: "0", ...env }).context);
  return server;
}

async function statusOf(url: string, headers: Record<string, string> = {}): Promise<number> {
  const [reply] = (await once(get(url, { headers }), "response")) as [IncomingMessage];
  reply.resume();
  return reply.statusCode ?? 0;
}

/** A connection that says nothing. */
async function openSilently({ address }: ApiServer, localAddress = "127.0.0.1"): Promise<Socket> {
  const { hostname, port } = new URL(address);
  const socket = connect({ host: hostname, port: Number(port), localAddress });
  socket.on("error", () => undefined);
  sockets.push(socket);
  await once(socket, "connect");
  return socket;
}

test("one address that holds many connections shuts out no other (F31)", async () => {
  const api = await start({ FELLMARK_MAX_CONNECTIONS: "10", FELLMARK_MAX_CONNECTIONS_PER_ADDRESS: "4" });
  const held = await Promise.all(Array.from({ length: 4 }, () => openSilently(api)));
  const beyond = await openSilently(api);
  await once(beyond, "close");
  expect(held.every((socket) => !socket.destroyed)).toBe(true);
  const other = await openSilently(api, "127.0.0.2");
  other.write("GET /health/live HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n");
  const [answer] = (await once(other, "data")) as [Buffer];
  expect(answer.toString()).toMatch(/^HTTP\/1\.1 200 /);
  held[0]?.destroy();
});

test("a request for a host that is not ours is refused, so that no web page reads answers under a name of its own", async () => {
  const { address } = await start();
  expect(await statusOf(`${address}/health/live`, { Host: "localhost:8080" })).toBe(200);
  expect(await statusOf(`${address}/health/live`, { Host: "rebound.example" })).toBe(421);
  expect(await statusOf(`${address}/v1/rules`, { Host: "127.0.0.1.rebound.example:80" })).toBe(421);
});

test("hosts that are named are allowed, whatever their case and port", async () => {
  const { address } = await start({ FELLMARK_ALLOWED_HOSTS: "maps.example, 127.0.0.1" });
  expect(await statusOf(`${address}/health/live`, { Host: "MAPS.example:443" })).toBe(200);
  expect(await statusOf(`${address}/health/live`, { Host: "localhost" })).toBe(421);
});

test("metrics and readiness move to a port of their own", async () => {
  const { address, operationsAddress = "" } = await start({ FELLMARK_OPERATIONS_PORT: "0" });
  for (const path of ["/metrics", "/health/ready"]) {
    expect(await statusOf(address + path)).toBe(404);
    expect(await statusOf(operationsAddress + path)).toBe(200);
  }
  expect(await statusOf(`${address}/health/live`)).toBe(200);
  expect(await statusOf(`${operationsAddress}/v1/rules`)).toBe(404);
});
