import { createSeededRandom, createTempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, expect, test } from "vitest";
import { ROUTES } from "./app.ts";
import { problemSchema } from "./http/problem.ts";
import { networkExample } from "./openapi/network-example.ts";
import { requestExample } from "./openapi/request-example.ts";
import { type ApiServer, serve } from "./server.ts";
import { createFakeService } from "./testing/fakes.ts";

/** 5,000 seeded requests, good and broken, against the listening service. Another seed: FELLMARK_TEST_SEED. */
const REQUESTS = 5_000;
const AT_ONCE = 20;
const SEED = Number(process.env.FELLMARK_TEST_SEED ?? 20_261_130);

const dir = createTempDir();
let server: ApiServer;
beforeAll(async () => {
  const env = { FELLMARK_PORT: "0", FELLMARK_MAX_REQUESTS_PER_MINUTE: "10000000", FELLMARK_MAX_UNFINISHED: "1000000" };
  server = await serve(createFakeService(dir.path, env).context);
});
afterAll(async () => {
  await server.close(0);
  dir.remove();
});

const random = createSeededRandom(SEED);
const below = (count: number) => Math.floor(random() * count);
const pick = <Item>(items: readonly Item[]): Item => items[below(items.length)] as Item;

const HOSTILE_VALUES: readonly unknown[] = [
  ...[null, true, "", "1", -1, 0, 1e308, -1e-320, 2 ** 53, [], {}, [[]], { a: {} }, "x".repeat(5000), "\u0000\u202e"],
  ...["__proto__", "../../etc/passwd", "=1+1", "%00", "<script>", "current", "nowhere", 90.0000001, 1e9],
];

interface Sent {
  method: string;
  path: string;
  headers: Record<string, string>;
  body?: string;
}

/** A good body for most routes, of which a part is then spoilt. */
function goodBody(path: string): unknown {
  if (path === "/v1/network") return networkExample;
  if (path === "/v1/coverages") return requestExample;
  if (path === "/v1/comparisons")
    return { version: 1, base: requestExample, changes: [{ kind: "turn", sector: "s1-n", azimuthDeg: 10 }] };
  if (path === "/v1/advice") return { version: 1, base: requestExample, channels: [{ centreMhz: 5600, widthMhz: 20 }] };
  if (path === "/v1/batches")
    return { version: 1, source: { request: requestExample }, leads: { text: "id,address\n1,a\n" } };
  return {
    version: 1,
    place: { at: [-76.7488, 40.8] },
    area: { radiusM: 5000 },
    measured: { signalDbm: -60 },
    sector: "s1-n",
  };
}

/** A copy with one value, anywhere, replaced, removed or joined by an unknown key. */
function spoil(value: unknown): unknown {
  if (typeof value !== "object" || value === null || random() < 0.15) return pick(HOSTILE_VALUES);
  if (Array.isArray(value)) {
    if (value.length === 0) return [pick(HOSTILE_VALUES)];
    const at = below(value.length);
    return random() < 0.1 ? [...value, ...value] : value.map((item, index) => (index === at ? spoil(item) : item));
  }
  const entries = Object.entries(value);
  if (entries.length === 0 || random() < 0.1) return { ...value, [String(pick(HOSTILE_VALUES))]: pick(HOSTILE_VALUES) };
  const at = below(entries.length);
  if (random() < 0.1) return Object.fromEntries(entries.filter((_entry, index) => index !== at));
  return Object.fromEntries(entries.map(([key, item], index) => [key, index === at ? spoil(item) : item]));
}

/** The bytes of a body, sometimes cut or with a character changed. */
function toText(value: unknown): string {
  const text = JSON.stringify(value) ?? "";
  if (random() < 0.1) return text.slice(0, below(text.length + 1));
  if (random() < 0.1) return text.replace(/[:,{}[\]"]/, pick(["", ":", "}", "\u0001", "NaN", "\\u"]));
  return text;
}

const PATHS = Object.keys(ROUTES).filter((path) => !path.endsWith("/events"));
const PARAMETERS = [
  "j".padEnd(65, "0"),
  "n".padEnd(65, "f"),
  "..%2f..%2fetc",
  "%00",
  "%E0%A4%A",
  "x".repeat(3000),
  "p1",
];
const QUERIES = [
  "",
  "?q=a",
  "?near=1,2",
  "?limit=-1",
  "?state=done",
  "?after=x",
  "?q=a&q=b",
  `?${"a=1&".repeat(500)}`,
  "?%",
];

function nextRequest(): Sent {
  const path = pick(PATHS);
  const method =
    random() < 0.6 ? pick(Object.keys(ROUTES[path] ?? {})).toUpperCase() : pick(["GET", "POST", "PUT", "DELETE"]);
  const address = path.replaceAll(/:\w+/g, () => pick(PARAMETERS)) + pick(QUERIES);
  const type =
    random() < 0.9 ? "application/json" : pick(["text/csv", "text/plain", "application/json; charset=utf-16", ""]);
  if (method === "GET") return { method, path: address, headers: {} };
  const body = goodBody(path);
  return {
    method,
    path: address,
    headers: { "Content-Type": type },
    body: toText(random() < 0.8 ? spoil(body) : body),
  };
}

/** The fault of a reply to hostile input, in words; nothing where it is a reply as it should be. */
async function faultOf({ method, path, headers, body }: Sent): Promise<string | undefined> {
  const reply = await fetch(server.address + path, { method, headers, ...(body !== undefined && { body }) });
  const text = await reply.text();
  const sent = `${method} ${path.slice(0, 80)} ${body?.slice(0, 200) ?? ""}: ${reply.status}`;
  if (reply.status >= 500 && reply.status !== 503) return `${sent} ${text.slice(0, 200)}`;
  if (reply.status < 400) return undefined;
  if (text.length > 100_000) return `${sent} has ${text.length} characters`;
  const problem = problemSchema.safeParse(JSON.parse(text));
  if (!problem.success) return `${sent} is not a problem: ${text.slice(0, 200)}`;
  return (problem.data.errors?.length ?? 0) > 100 ? `${sent} lists over 100 problems` : undefined;
}

test(`5,000 hostile requests get a reply of the table, never a 500 (seed ${SEED})`, async () => {
  const faults: string[] = [];
  let left = REQUESTS;
  const run = async () => {
    while (left-- > 0) {
      const fault = await faultOf(nextRequest());
      if (fault !== undefined) faults.push(fault);
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, run));
  expect(faults.slice(0, 20)).toEqual([]);
  expect((await fetch(`${server.address}/health/live`)).status).toBe(200);
});
