import { once } from "node:events";
import { connect } from "node:net";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { ridgeRequest } from "./requests.ts";
import { type RunningService, startService } from "./service.ts";

let service: RunningService;
beforeAll(async () => {
  service = await startService();
});
afterAll(() => service.remove());

interface RawReply {
  status: number;
  type: string;
  body: string;
}

/** Sends bytes as they are over a socket of its own, and reads the reply until the service closes it. */
async function send(head: string[], body: string | Uint8Array = ""): Promise<RawReply> {
  const { hostname, port } = new URL(service.address);
  const socket = connect(Number(port), hostname);
  const chunks: Buffer[] = [];
  socket.on("data", (chunk) => chunks.push(chunk));
  // Refused early, the service may close before it has read everything.
  socket.on("error", () => undefined);
  socket.write(`${head.join("\r\n")}\r\n\r\n`);
  socket.write(body);
  await once(socket, "close");
  const text = Buffer.concat(chunks).toString("utf8");
  return {
    status: Number(/^HTTP\/1\.1 (\d+)/.exec(text)?.[1]),
    type: /^content-type: ([^;\r]*)/im.exec(text)?.[1] ?? "",
    body: text.slice(text.indexOf("\r\n\r\n") + 4),
  };
}

function postOf(body: string | Uint8Array, ...headers: string[]): [string[], Uint8Array] {
  const bytes = typeof body === "string" ? Buffer.from(body) : body;
  const fixed = [
    "POST /v1/coverages HTTP/1.1",
    "Host: 127.0.0.1",
    "Connection: close",
    `Content-Length: ${bytes.length}`,
  ];
  return [[...fixed, ...headers], bytes];
}

const json = "Content-Type: application/json";
const deep = "[".repeat(49_000) + "]".repeat(49_000);
const good = JSON.stringify(ridgeRequest());

// F42
test.each<[string, number, string | Uint8Array, string[]]>([
  ["49,000 levels of lists", 400, deep, [json]],
  ["49,000 levels in a field", 400, good.replace('"emitters":[]', `"emitters":${deep}`), [json]],
  ["a byte order mark before broken JSON", 400, `\ufeff${good.slice(1)}`, [json]],
  [
    "bytes that are not UTF-8",
    400,
    Buffer.concat([Buffer.from('{"name":"'), Buffer.of(0xff, 0xc0), Buffer.from('"}')]),
    [json],
  ],
  ["UTF-16", 400, Buffer.from(good, "utf16le"), [json]],
  ["half a request", 400, good.slice(0, 100), [json]],
  ["a __proto__ key", 422, good.replace("{", '{"__proto__":{"admin":true},'), [json]],
  ["a constructor key", 422, good.replace("{", '{"constructor":{"prototype":{"admin":true}},'), [json]],
  ["1 MB and a byte", 413, `"${"a".repeat(999_999)}"`, [json]],
  ["a gzip bomb", 413, gzipSync(Buffer.alloc(50_000_000, 0x20)), [json, "Content-Encoding: gzip"]],
  ["an unknown encoding", 415, good, [json, "Content-Encoding: compress"]],
  ["no content type", 415, good, []],
  ["another content type", 415, good, ["Content-Type: text/plain"]],
  ["another charset", 415, good, ["Content-Type: application/json; charset=utf-16"]],
])("a body with %s answers %i as a problem", async (_what, status, body, headers) => {
  const reply = await send(...postOf(body, ...headers));
  expect([reply.status, reply.type]).toEqual([status, "application/problem+json"]);
  expect(reply.body).not.toMatch(/node_modules|\bat .*\.[jt]s|Error:/);
  expect((await fetch(`${service.address}/health/live`)).status).toBe(200);
});

// F32
describe.each(["lat", "lon"])("%s", (field) => {
  test.each(["NaN", '"1"', "null", "1e999", "-1e999", "91e9", "[]", "{}", "true", '""'])(
    "of %s is refused by its name",
    async (text) => {
      const body = good.replace(new RegExp(`"${field}":[-0-9.]+`), `"${field}":${text}`);
      const reply = await send(...postOf(body, json));
      expect(reply.status).toBe(text === "NaN" ? 400 : 422);
      if (reply.status === 422) expect(reply.body).toContain(`"pointer":"/sites/0/${field}"`);
    },
  );
});

test("latitude and longitude swapped, where that leaves the range, names the latitude", async () => {
  const body = good.replace('"lon":-39.5,"lat":20.5', '"lon":20.5,"lat":-139.5');
  const reply = await send(...postOf(body, json));
  expect(reply.body).toContain('"pointer":"/sites/0/lat"');
});

test("a line that is not HTTP answers 400 and closes", async () => {
  expect((await send(["HELLO"])).status).toBe(400);
});

test("headers beyond their limit answer 431 and close", async () => {
  const reply = await send(["GET /health/live HTTP/1.1", "Host: 127.0.0.1", `X-Long: ${"a".repeat(20_000)}`]);
  expect(reply.status).toBe(431);
});

test("a client that leaves in the middle of its body leaves nothing behind", async () => {
  const { hostname, port } = new URL(service.address);
  const socket = connect(Number(port), hostname);
  const [head, body] = postOf(good, json);
  socket.write(`${head.join("\r\n")}\r\n\r\n`);
  await new Promise<void>((resolve) => socket.write(body.subarray(0, 50), () => resolve()));
  socket.destroy();
  await once(socket, "close");
  const metrics = await (await fetch(`${service.address}/metrics`)).text();
  expect(metrics).toContain("fellmark_jobs_unfinished 0");
});
