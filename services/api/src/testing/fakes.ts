import { createHash } from "node:crypto";
import { EventEmitter, once } from "node:events";
import { mkdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { BODY_WORK, type ImportPremisesTask, prepareLayer, reportAntennas } from "@fellmark/compute";
import type { JobQueue, JobRef } from "@fellmark/jobs";
import type {
  JobRecord,
  LayerShelf,
  Ledger,
  NetworkRecord,
  NetworkShelf,
  NewJob,
  ResultFile,
  ResultStore,
} from "@fellmark/ledger";
import { openObjectStore } from "@fellmark/ledger";
import type { TerrainFacts } from "@fellmark/network";
import {
  type ImportReport,
  importPremises,
  type Premises,
  type PremisesList,
  type PremisesShelf,
} from "@fellmark/premises";
import { FellmarkError } from "@fellmark/units";
import { pino } from "pino";
import { createApp } from "../app.ts";
import type { AskedAnswers } from "../children/place-questions.ts";
import type { AskedCompute } from "../children/terrain-questions.ts";
import { toConfig } from "../config.ts";
import { type ApiResources, createContext } from "../context.ts";
import type { Ticker } from "../jobs/ticker.ts";

/** A ledger in memory with the rules of the port; `set` puts a row into any state. */
export interface MemoryLedger extends Ledger {
  layers: LayerShelf;
  rows: Map<string, FakeRow>;
  set(id: string, change: Partial<JobRecord>): void;
}

/** A row with its request, which the real ledger shows to workers only. */
type FakeRow = JobRecord & Pick<NewJob, "request">;

function createMemoryLedger(): MemoryLedger {
  const rows = new Map<string, FakeRow>();
  const keyOf = (tenant: string, id: string) => `${tenant}/${id}`;
  const row = (tenant: string, id: string) => rows.get(keyOf(tenant, id));
  const change = (job: FakeRow | undefined, fields: Partial<JobRecord>) => {
    if (!job) return undefined;
    const changed = { ...job, ...fields };
    rows.set(keyOf(job.tenant, job.id), changed);
    return changed;
  };
  const isOpen = (job: JobRecord) => job.state === "queued" || job.state === "running";
  const unfinishedOf = (tenant: string) => [...rows.values()].filter((job) => job.tenant === tenant && isOpen(job));
  const inState = (job: FakeRow | undefined, ...states: JobRecord["state"][]) =>
    job && states.includes(job.state) ? job : undefined;
  const unused = async () => {
    throw new Error("the service never calls this");
  };
  return {
    ...createMemoryShelf(),
    layers: emptyLayers(unused),
    rows,
    set: (id, fields) => void change(row("default", id), fields),
    async submit({ name = "", costS = 0, ...job }, { maxUnfinished } = { maxUnfinished: Number.POSITIVE_INFINITY }) {
      const known = row(job.tenant, job.id);
      if (known) return { job: known, created: false };
      if (unfinishedOf(job.tenant).length >= maxUnfinished) throw new FellmarkError("too_many_jobs", "too many");
      const fresh: FakeRow = { ...job, name, costS, ...freshFields };
      rows.set(keyOf(job.tenant, job.id), fresh);
      return { job: fresh, created: true };
    },
    find: async (tenant, id) => row(tenant, id),
    listUnfinished: async () => [...rows.values()].filter(isOpen),
    countUnfinished: async (tenant) => unfinishedOf(tenant).length,
    async listJobs({ tenant, kind, states = [], limit, after = "0" }) {
      const fits = (job: FakeRow) => job.kind === kind && (states.length === 0 || states.includes(job.state));
      const listed = [...rows.values()].filter((job) => job.tenant === tenant && fits(job)).reverse();
      const end = Number(after) + limit;
      return { jobs: listed.slice(Number(after), end), next: end < listed.length ? String(end) : null };
    },
    setPinned: async (tenant, id, pinned) => change(row(tenant, id), { pinned }),
    requestCancel: async (tenant, id) => {
      const job = row(tenant, id);
      if (inState(job, "queued")) return change(job, { state: "cancelled" });
      return inState(job, "running") ? change(job, { cancelRequested: true }) : job;
    },
    retry: async (tenant, id) => {
      const job = row(tenant, id);
      return inState(job, "failed", "cancelled", "expired") ? change(job, { state: "queued", error: null }) : job;
    },
    remove: async (tenant, id) => {
      const job = row(tenant, id);
      return job !== undefined && !isOpen(job) && rows.delete(keyOf(tenant, id));
    },
    expire: unused,
    begin: unused,
    reportProgress: unused,
    complete: unused,
    fail: unused,
    confirmCancelled: unused,
    check: async () => undefined,
    close: async () => undefined,
  };
}

/** A shelf without layers; a test of layers puts a real one in its place. */
function emptyLayers(unused: () => Promise<never>): LayerShelf {
  const none = async () => undefined;
  const empty = async () => [];
  return {
    ...{
      publish: none,
      withdraw: none,
      retire: none,
      find: none,
      findLatest: none,
      findToken: none,
      revokeToken: none,
    },
    ...{ listVersions: empty, listLayers: empty, listTokens: empty, listKeptFiles: empty },
    ...{ putDraft: unused, addToken: unused },
  };
}

function createMemoryShelf(): NetworkShelf {
  const shelf: NetworkRecord[] = [];
  const ofTenant = (tenant: string) => shelf.filter((network) => network.tenant === tenant).reverse();
  return {
    async putNetwork(network, replaces) {
      const current = ofTenant(network.tenant)[0];
      if (replaces !== undefined && current?.version !== replaces)
        throw new FellmarkError("precondition_failed", "another version of the network is the current one");
      if (current?.version === network.version) return { network: current, created: false };
      const added = { ...network, number: (current?.number ?? 0) + 1, createdAtMs: 0 };
      shelf.push(added);
      return { network: added, created: true };
    },
    findCurrentNetwork: async (tenant) => ofTenant(tenant)[0],
    findNetwork: async (tenant, version) => ofTenant(tenant).find((network) => network.version === version),
    listNetworks: async (tenant) => ofTenant(tenant).map(({ document: _document, ...summary }) => summary),
  };
}

const freshFields = {
  state: "queued" as const,
  progress: 0,
  attempt: 0,
  token: null,
  cancelRequested: false,
  pinned: false,
  error: null,
  files: null,
  createdAtMs: 0,
  updatedAtMs: 0,
};

/** A ticker that runs when the test says so. */
export interface HandTicker extends Ticker {
  /** Runs what was registered for this period. */
  tick(periodMs: number): void;
  running(): number;
  /** Resolves when everything was stopped. */
  whenIdle(): Promise<void>;
}

function createHandTicker(): HandTicker {
  const registered = new Set<{ periodMs: number; run: () => void }>();
  const stops = new EventEmitter();
  return {
    every(periodMs, run) {
      const entry = { periodMs, run };
      registered.add(entry);
      return () => {
        registered.delete(entry);
        stops.emit("stop");
      };
    },
    tick: (periodMs) => {
      for (const entry of [...registered]) if (entry.periodMs === periodMs) entry.run();
    },
    running: () => registered.size,
    async whenIdle() {
      while (registered.size > 0) await once(stops, "stop");
    },
  };
}

/** A result store over one folder that lies, as the real one, below a folder whose name starts with a dot. */
export interface FolderFake extends ResultStore {
  /** Writes files and returns them as a ledger row lists them. */
  put(contents: Record<string, string | Uint8Array>): ResultFile[];
  removed: string[];
}

function createFolderFake(dir: string): FolderFake {
  const folder = path.join(dir, ".data");
  const removed: string[] = [];
  const unused = async () => {
    throw new Error("the service never calls this");
  };
  return {
    removed,
    put: (contents) =>
      Object.entries(contents).map(([name, content]) => {
        const file = path.join(folder, name);
        mkdirSync(path.dirname(file), { recursive: true });
        writeFileSync(file, content);
        return { name, bytes: content.length, sha256: createHash("sha256").update(content).digest("hex") };
      }),
    requireRoom: async () => undefined,
    check: async () => undefined,
    findPath: (_job, name) => path.join(folder, name),
    remove: async (_tenant, id) => void removed.push(id),
    stage: unused,
    publish: unused,
    sweep: unused,
  };
}

/** A queue that notes what it was given, and fails where told to. */
export interface NotedQueue extends JobQueue {
  enqueued: JobRef[];
  removed: JobRef[];
  failWith: { check?: unknown; enqueue?: unknown };
}

function createNotedQueue(): NotedQueue {
  const queue: NotedQueue = {
    enqueued: [],
    removed: [],
    failWith: {},
    async enqueue(ref) {
      if (queue.failWith.enqueue) throw queue.failWith.enqueue;
      queue.enqueued.push(ref);
    },
    async check() {
      if (queue.failWith.check) throw queue.failWith.check;
    },
    remove: async (ref) => void queue.removed.push(ref),
    work: async () => undefined,
    close: async () => undefined,
  };
  return queue;
}

/** Facts of a terrain that covers the world, with these heights under the sites. */
export function createKnownGround(groundAmslM: (number | null)[]): TerrainFacts {
  const isWater = groundAmslM.map(() => false);
  return { groundAmslM, isWater, sets: [{ name: "default", kind: "bare", boxes: [[-180, -90, 180, 90]] }] };
}

/** A compute child that knows the ground everywhere, unless a test puts other answers in. */
function createKnowingCompute(): AskedCompute {
  return {
    terrainState: async () => ({ fingerprint: "t1", tiles: 1, refused: [] }),
    terrainFacts: async (_dir, { sites }) => createKnownGround(sites.map(() => 100)),
    antennaReport: async (task) => reportAntennas(task),
  };
}

/** A child that answers places by what a test puts in; the rest is never asked. */
export interface FakeAnswers extends AskedAnswers {
  asked: { name: keyof AskedAnswers; task: unknown }[];
  /** Networks that were opened ahead. */
  prepared: unknown[];
}

function createFakeAnswers(): FakeAnswers {
  const asked: FakeAnswers["asked"] = [];
  const prepared: unknown[] = [];
  const note =
    (name: keyof AskedAnswers, reply: object | string) =>
    async (task: unknown): Promise<never> => {
      asked.push({ name, task });
      return reply as never;
    };
  return {
    asked,
    prepared,
    prepare: async (task) => {
      prepared.push(task);
      return null;
    },
    serviceability: note("serviceability", { version: 1, verdict: "serviceable", reason: "the line is clear" }),
    install: note("install", { version: 1, result: "pass" }),
    calibration: note("calibration", { version: 1, links: 0 }),
    draw: note("draw", "<svg />"),
  };
}

/** Premises of a list that a test fills: an address is found by a word that it holds. */
export interface FakePremises extends PremisesShelf {
  rows: Premises[];
}

function createFakePremises(): FakePremises {
  const rows: Premises[] = [];
  const list: PremisesList = {
    version: "p1",
    count: 0,
    search(query) {
      const hits = rows.filter(({ address }) => address.includes(query)).map((row) => ({ ...row, typos: 0 }));
      return { hits, tie: hits.length > 1 };
    },
    nearest: () => [],
    withId: (id) => rows.find((row) => row.id === id),
    isCurrent: () => true,
    close: () => undefined,
  };
  return { rows, list: async () => list, close: () => undefined };
}

/** An import as the child makes it, in this process. */
function importHere({ premisesDir, tenant, file, ...options }: ImportPremisesTask): Promise<ImportReport> {
  return importPremises({ dir: premisesDir, tenant }, file, options);
}

/** Noon of the day on which the tests run, whatever the calendar says. */
const NOW_MS = Date.parse("2026-11-25T12:00:00Z");

/** A reader of bodies in this process. */
const readHere: ApiResources["readers"] = { workOnBody: (name, sent) => BODY_WORK[name](sent) };

/** The whole service on fakes, with handles on each. */
export function createFakeService(dir: string, env: Record<string, string> = {}, readers = readHere) {
  const fakes = {
    ledger: createMemoryLedger(),
    store: createFolderFake(dir),
    queue: createNotedQueue(),
    compute: createKnowingCompute(),
    answers: createFakeAnswers(),
    premises: createFakePremises(),
    premisesDir: path.join(dir, "premises"),
    imports: { importPremises: importHere },
    readers,
    objects: openObjectStore(path.join(dir, "objects")),
    publishing: { prepareLayer },
    ticker: createHandTicker(),
  };
  const rest = { logger: pino({ level: "silent" }), modelVersion: "m1", now: () => NOW_MS };
  const context = createContext(toConfig(env), { ...fakes, ...rest });
  return { ...fakes, context, app: createApp(context) };
}
