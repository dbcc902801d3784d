import type { NewJob } from "@fellmark/ledger";
import { computeJobId, parseCoverageRequest, toCanonicalJson } from "@fellmark/network";

/** A small valid job, another for each name; its mast stands in the open ocean. */
export function buildSampleJob(name: string, tenant = "default"): NewJob {
  const request = toCanonicalJson(parseCoverageRequest({ ...sampleRequest, name }));
  const identity = { tenant, canonicalRequest: request, modelVersion: "m1", terrainFingerprint: "t1" };
  return {
    tenant,
    id: computeJobId(identity),
    kind: "coverage",
    request,
    modelVersion: "m1",
    terrainFingerprint: "t1",
  };
}

const sampleRequest = {
  version: 1,
  area: { radiusM: 2_000, cellM: 30 },
  sites: [{ id: "s1", lon: -30, lat: 40 }],
  antennas: [{ id: "a1", kind: "isotropic", gainDbi: 16 }],
  radios: [{ id: "r1", table: "802.11ax" }],
  sectors: [
    {
      id: "s1-n",
      site: "s1",
      antenna: "a1",
      radio: "r1",
      heightAglM: 30,
      azimuthDeg: 0,
      channel: { centreMhz: 5600, widthMhz: 20 },
      powerDbm: 19,
    },
  ],
  cpe: { heightAglM: 6, antenna: "a1", radio: "r1", powerDbm: 19 },
  plans: [{ id: "p25", downMbps: 25, upMbps: 5 }],
};

/** A comparison or advice on the sample coverage. */
export function buildSampleRequest(kind: "comparison" | "advice" | "batch"): object {
  const base = parseCoverageRequest(sampleRequest);
  const leads = { text: "address\n1 Alder Row\n", map: "" };
  if (kind === "batch") return { version: 1, source: { request: base }, leads, premises: null };
  const shared = { version: 1, base };
  if (kind === "comparison") return { ...shared, changes: [{ kind: "turn", sector: "s1-n", azimuthDeg: 10 }] };
  return { ...shared, channels: [{ centreMhz: 5600, widthMhz: 20 }], seed: 1 };
}
