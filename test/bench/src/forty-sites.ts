import { createSeededRandom, createTempDir } from "@fellmark/testkit";
import type { Bench, BenchResult } from "./report.ts";
import { peakMemoryBytes, postJob, type RunningService, startService } from "./service.ts";

const SITES = 40;
const LOOKS = [0, 120, 240];
const RADIUS_M = 10_000;
/** Channels of 20 MHz in turn, so that neighbours meet as they do on the air. */
const CENTRES_MHZ = [5180, 5220, 5500, 5540, 5580, 5620, 5660, 5745];
const COVERAGE_TARGET_S = 60;
const MEMORY_TARGET_MB = 800;
const ADVICE_TARGET_S = 30;
const ANSWER_TARGET_S = 3;

/**
 * A network of 40 sites and 120 sectors over the tile N44W072: its coverage at zoom 12, channel advice for it, and its
 * first answer after it was put. Each is measured once, cold, through the service.
 */
export const fortySitesBench: Bench = async ({ terrainDir, seed }) => {
  const data = createTempDir("fellmark-bench-");
  const environment = { FELLMARK_DATA_DIR: data.path, FELLMARK_TERRAIN_DIR: terrainDir, FELLMARK_LOG_LEVEL: "error" };
  const api = await startService("api", environment);
  try {
    const network = buildNetwork(seed);
    const answer = await answerRow(api, network);
    return { results: [answer, ...(await coverageRows(api, network)), await adviceRow(api, network)], skipped: [] };
  } finally {
    await api.stop();
    data.remove();
  }
};

type Network = ReturnType<typeof buildNetwork>;

/** Asks again while the service is not ready, which it should never say on an idle machine. */
async function answerRow({ greeting }: RunningService, network: Network): Promise<BenchResult> {
  const address = greeting.address as string;
  const put = await send(address, "PUT", "/v1/network", network);
  if (!put.ok) throw new Error(`PUT /v1/network: ${put.status} ${await put.text()}`);
  const { lon, lat } = network.sites[0];
  const question = { version: 1, place: { at: [lon + 0.02, lat + 0.01] } };
  const start = performance.now();
  let refusals = 0;
  for (;;) {
    const reply = await send(address, "POST", "/v1/serviceability", question);
    const text = await reply.text();
    if (reply.ok) break;
    if (reply.status !== 503) throw new Error(`POST /v1/serviceability: ${reply.status} ${text}`);
    refusals++;
  }
  const row = onceRow("network.40.first-answer", (performance.now() - start) / 1000, "s", ANSWER_TARGET_S);
  return { ...row, check: { what: "replies of 503", value: refusals, limit: 0, pass: refusals === 0 } };
}

async function coverageRows({ greeting, pid }: RunningService, network: Network): Promise<BenchResult[]> {
  const { seconds } = await postJob(greeting.address as string, "/v1/coverages", toCoverage(network));
  return [
    onceRow("network.40", seconds, "s", COVERAGE_TARGET_S),
    onceRow("network.40.memory", peakMemoryBytes(pid) / 2 ** 20, "MB", MEMORY_TARGET_MB),
  ];
}

async function adviceRow({ greeting }: RunningService, network: Network): Promise<BenchResult> {
  const address = greeting.address as string;
  const channels = CENTRES_MHZ.map((centreMhz) => ({ centreMhz, widthMhz: 20 }));
  const { seconds, summary } = await postJob(address, "/v1/advice", {
    ...{ version: 1, channels, base: toCoverage(network) },
  });
  const isCutShort = (summary as { isCutShort: boolean }).isCutShort;
  const check = { what: "searches cut short", value: Number(isCutShort), limit: 0, pass: !isCutShort };
  return { ...onceRow("advice.40", seconds, "s", ADVICE_TARGET_S), check };
}

function onceRow(id: string, value: number, unit: string, target: number): BenchResult {
  return { id, value, unit, n: 1, min: value, max: value, target, pass: value <= target };
}

function send(address: string, method: string, path: string, body: unknown): Promise<Response> {
  return fetch(address + path, {
    method,
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
}

function toCoverage({ zoom, cpes: [{ id: _id, ...cpe }], ...shared }: Network) {
  return { ...shared, area: { radiusM: RADIUS_M, zoom }, cpe, outputs: ["tiers"] };
}

/** The document of PUT /v1/network: sites spread over the tile by a seed, three sectors on each. */
function buildNetwork(seed: number) {
  const random = createSeededRandom(seed);
  const sites = Array.from({ length: SITES }, (_, index) => ({
    ...{ id: `m${index}`, lon: -71.95 + 0.9 * random(), lat: 44.05 + 0.9 * random() },
  }));
  return {
    version: 1,
    name: "forty sites",
    zoom: 12,
    model: { clutter: { class: "open", heightM: 0 } },
    sites,
    antennas: [
      { id: "panel", kind: "f1336", gainDbi: 16, azimuthWidthDeg: 90, form: "average" },
      { id: "cpe", kind: "f1245", gainDbi: 24, diameterM: 0.35 },
    ],
    radios: [{ id: "radio", table: "802.11ax" }],
    sectors: sites.flatMap(({ id: site }, mast) =>
      LOOKS.map((azimuthDeg, look) => ({
        ...{ id: `${site}-${look}`, site, antenna: "panel", radio: "radio", heightAglM: 30, downtiltDeg: 2 },
        ...{ azimuthDeg, powerDbm: 20, timingGroup: "one" },
        channel: { centreMhz: CENTRES_MHZ[(LOOKS.length * mast + look) % CENTRES_MHZ.length], widthMhz: 20 },
      })),
    ),
    cpes: [{ id: "usual", antenna: "cpe", radio: "radio", heightAglM: 6, powerDbm: 20 }],
    plans: [
      { id: "fast", downMbps: 100, upMbps: 20 },
      { id: "basic", downMbps: 25, upMbps: 5 },
    ],
  };
}
