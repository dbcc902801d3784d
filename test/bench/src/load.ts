import { readFileSync } from "node:fs";
import { setTimeout as pause } from "node:timers/promises";
import { createTempDir } from "@fellmark/testkit";
import { networkRequest } from "./network-scene.ts";
import type { Bench, BenchResult } from "./report.ts";
import { type RunningService, startService } from "./service.ts";

const CLIENTS = 200;
/** Calls of all clients together over what the service answers at its best. */
const OVERLOAD = 5;
const LOAD_MS = 20_000;
const IDLE_CALLS = 100;
const CAPACITY_MS = 4_000;
const PROBE_PERIOD_MS = 20;

/** Statuses of calls that were taken, and of calls that were refused as they should be. */
const ACCEPTED = [200, 202];
const REFUSED = [429, 503];

interface Call {
  kind: "question" | "submission";
  status: number;
  ms: number;
}

/** 200 callers ask and submit at five times the capacity: what is accepted is as quick as on an idle service. */
export const loadBench: Bench = async ({ terrainDir }) => {
  const data = createTempDir("fellmark-bench-");
  const api = await startService("api", {
    FELLMARK_DATA_DIR: data.path,
    FELLMARK_TERRAIN_DIR: terrainDir,
    FELLMARK_LOG_LEVEL: "silent",
    // Every client is a caller of its own.
    FELLMARK_TRUSTED_PROXIES: "1",
    FELLMARK_MAX_REQUESTS_PER_MINUTE: "10000000",
  });
  try {
    return { results: await measureLoad(api), skipped: [] };
  } finally {
    await api.stop();
    data.remove();
  }
};

async function measureLoad({ greeting, pid }: RunningService): Promise<BenchResult[]> {
  const service = createClient(greeting.address as string);
  await service.putNetwork();
  await service.ask(0);
  const idle = await askInTurn(service);
  const perSecond = await measureCapacity(service);
  const stop = new AbortController();
  const probes = probeLive(service, stop.signal);
  const memory = watchMemory(pid, stop.signal);
  const calls = await loadFor(service, OVERLOAD * perSecond);
  stop.abort();
  const statuses = calls.map(({ status }) => status);
  const isExpected = (status: number) => [...ACCEPTED, ...REFUSED].includes(status);
  const unexpected = statuses.filter((status) => !isExpected(status)).length;
  const check = { what: "unexpected statuses", value: unexpected, limit: 0, pass: unexpected === 0 };
  const accepted = calls.filter(({ status }) => ACCEPTED.includes(status));
  process.stderr.write(
    `capacity ${perSecond.toFixed(1)} questions/s; ${calls.length} calls, ${accepted.length} accepted\n`,
  );
  const ratios = (["question", "submission"] as const).map((kind): BenchResult => {
    const times = accepted.filter((call) => call.kind === kind).map(({ ms }) => ms);
    const idleTimes = idle.filter((call) => call.kind === kind).map(({ ms }) => ms);
    return buildRow(`load.${kind}`, findP99(times) / findP99(idleTimes), "x idle", 2, times.length);
  });
  const live = await probes;
  return [
    ...ratios.map((row) => ({ ...row, check })),
    buildRow("load.live", findP99(live), "ms", 50, live.length),
    buildRow("load.memory", (await memory) / 2 ** 20, "MB", 400, 1),
  ];
}

function buildRow(id: string, value: number, unit: string, target: number, n: number): BenchResult {
  return { id, value, unit, n, min: value, max: value, target, pass: value <= target };
}

type Client = ReturnType<typeof createClient>;

function createClient(address: string) {
  async function send(method: "POST" | "PUT", path: string, body: unknown, caller: number): Promise<number> {
    const headers = { "content-type": "application/json", "x-forwarded-for": `10.0.${caller >> 8}.${caller & 255}` };
    const reply = await fetch(address + path, { method, headers, body: JSON.stringify(body) });
    await reply.arrayBuffer();
    return reply.status;
  }
  return {
    async putNetwork() {
      const { area: _area, outputs: _outputs, cpe, ...shared } = networkRequest() as Record<string, object>;
      await send("PUT", "/v1/network", { ...shared, zoom: 12, cpes: [{ id: "standard", ...cpe }] }, 0);
    },
    ask: (caller: number) => {
      const at = [-71.55 + 0.0004 * (caller % CLIENTS), 44.33];
      return send("POST", "/v1/serviceability", { version: 1, place: { at } }, caller);
    },
    submit: (caller: number, number: number) => {
      const request = networkRequest() as { name: string };
      return send("POST", "/v1/coverages", { ...request, name: `load ${caller} ${number}` }, caller);
    },
    async live() {
      await (await fetch(`${address}/health/live`)).arrayBuffer();
    },
  };
}

/** A call that was cut has the status 0. */
async function time(kind: Call["kind"], call: () => Promise<number>): Promise<Call> {
  const start = performance.now();
  const status = await call().catch(() => 0);
  return { kind, status, ms: performance.now() - start };
}

/** One caller, one call after another, while nothing is computed. */
async function askInTurn(service: Client): Promise<Call[]> {
  const calls: Call[] = [];
  for (let index = 0; index < IDLE_CALLS; index++) calls.push(await time("question", () => service.ask(index)));
  // The same again is known already, so that no job is started beside the calls that follow.
  await service.submit(0, 0);
  for (let index = 0; index < IDLE_CALLS; index++) calls.push(await time("submission", () => service.submit(0, 0)));
  return calls;
}

/** Questions a second that four callers get answered. */
async function measureCapacity(service: Client): Promise<number> {
  const end = performance.now() + CAPACITY_MS;
  let answered = 0;
  const ask = async (caller: number) => {
    while (performance.now() < end) if (ACCEPTED.includes(await service.ask(caller))) answered++;
  };
  await Promise.all([1, 2, 3, 4].map(ask));
  return (answered / CAPACITY_MS) * 1000;
}

/** Every client calls at equal intervals, or once it has its reply; every tenth call is a submission. */
async function loadFor(service: Client, perSecond: number): Promise<Call[]> {
  const calls: Call[] = [];
  const intervalMs = (1000 * CLIENTS) / perSecond;
  const end = performance.now() + LOAD_MS;
  const runClient = async (caller: number) => {
    let next = performance.now() + (intervalMs * caller) / CLIENTS;
    for (let number = 0; next < end; number++) {
      await pause(Math.max(0, next - performance.now()));
      const isSubmission = (number + caller) % 10 === 0;
      const kind = isSubmission ? "submission" : "question";
      calls.push(await time(kind, () => (isSubmission ? service.submit(caller, number) : service.ask(caller))));
      next = Math.max(next + intervalMs, performance.now());
    }
  };
  await Promise.all(Array.from({ length: CLIENTS }, (_, caller) => runClient(caller)));
  return calls;
}

async function probeLive(service: Client, signal: AbortSignal): Promise<number[]> {
  const times: number[] = [];
  while (!signal.aborted) {
    const start = performance.now();
    await service.live();
    times.push(performance.now() - start);
    await pause(PROBE_PERIOD_MS);
  }
  return times;
}

/** Greatest resident memory of one process, without its children, bytes. Source: proc(5). */
async function watchMemory(pid: number, signal: AbortSignal): Promise<number> {
  let most = 0;
  while (!signal.aborted) {
    const kilobytes = /^VmRSS:\s+(\d+) kB$/m.exec(readFileSync(`/proc/${pid}/status`, "latin1"))?.[1];
    most = Math.max(most, Number(kilobytes) * 1024);
    await pause(200);
  }
  return most;
}

function findP99(values: readonly number[]): number {
  return values.toSorted((one, other) => one - other)[Math.floor(0.99 * (values.length - 1))] ?? Number.NaN;
}
