import { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import {
  buildNetworkJsonSchema,
  parseNetwork,
  parseNetworkCoverage,
  toCanonicalNetwork,
  toCoverageRequest,
} from "./network-document.ts";
import { parseCoverageRequest } from "./parse-request.ts";
import { createExampleNetwork } from "./testing/example-network.ts";

function pointersOf(values: Record<string, unknown>): string[] {
  try {
    parseNetwork({ ...createExampleNetwork(), ...values });
    return [];
  } catch (error) {
    if (error instanceof InputError) return error.problems.map(({ pointer }) => pointer);
    throw error;
  }
}

const { cpes, subscribers, sectors } = createExampleNetwork() as Record<string, Record<string, unknown>[]>;

describe("a network document", () => {
  it("has one version, however its keys are ordered and its defaults spelled", () => {
    const { version, document } = toCanonicalNetwork(parseNetwork(createExampleNetwork()));
    expect(version).toMatch(/^n[0-9a-f]{64}$/);
    const reordered = Object.fromEntries(Object.entries({ ...createExampleNetwork(), emitters: [] }).reverse());
    expect(toCanonicalNetwork(parseNetwork(reordered)).version).toBe(version);
    expect(toCanonicalNetwork(parseNetwork(JSON.parse(document))).version).toBe(version);
    expect(toCanonicalNetwork(parseNetwork({ ...createExampleNetwork(), name: "other" })).version).not.toBe(version);
  });

  it.each<[Record<string, unknown>, string]>([
    [{ zoom: 17 }, "/zoom"],
    [{ zoom: undefined }, "/zoom"],
    [{ cpes: [] }, "/cpes"],
    [{ cpes: [cpes[0], cpes[0]], subscribers: [] }, "/cpes/1/id"],
    [{ cpes: [{ ...cpes[0], antenna: "nowhere" }], subscribers: [] }, "/cpes/0/antenna"],
    [{ subscribers: [subscribers[0], subscribers[0]] }, "/subscribers/1/id"],
    [{ subscribers: [{ ...subscribers[0], cpe: "nowhere" }] }, "/subscribers/0/cpe"],
    [{ subscribers: [{ ...subscribers[0], sector: "nowhere" }] }, "/subscribers/0/sector"],
    [{ subscribers: Array(20_001).fill(subscribers[0]) }, "/subscribers"],
    [{ sectors: [sectors[0], { ...sectors[1], antenna: "nowhere" }] }, "/sectors/1/antenna"],
    [{ area: { radiusM: 5000 } }, "/area"],
  ])("%# is refused by its field", (values, pointer) => {
    expect(pointersOf(values)).toEqual([pointer]);
  });

  it("has a JSON schema", () => {
    const { properties } = buildNetworkJsonSchema() as { properties: object };
    expect(Object.keys(properties)).toEqual(expect.arrayContaining(["sites", "sectors", "cpes", "subscribers"]));
  });
});

describe("the coverage of a network", () => {
  const network = parseNetwork(createExampleNetwork());
  const coverage = (more: object) => parseNetworkCoverage({ area: { radiusM: 5000 }, ...more });

  it("is a coverage request that stands for itself", () => {
    const request = toCoverageRequest(network, coverage({ quality: "preview", outputs: ["tiers"] }));
    expect(request).toMatchObject({ area: { radiusM: 5000, zoom: 12 }, quality: "preview", cpe: { powerDbm: 19 } });
    expect(parseCoverageRequest(JSON.parse(JSON.stringify(request)))).toEqual(request);
  });

  it("does not depend on what is measured at subscribers or how their premises are called", () => {
    const measured = { signalDbm: -60, at: "2026-05-04T09:30:00Z" };
    const noted = subscribers.map((subscriber) => ({ ...subscriber, measured, premises: "mill" }));
    const other = parseNetwork({ ...createExampleNetwork(), subscribers: noted });
    expect(toCoverageRequest(other, coverage({}))).toEqual(toCoverageRequest(network, coverage({})));
  });

  it("takes the CPE that is named", () => {
    expect(toCoverageRequest(network, coverage({ cpe: "k2" })).cpe.powerDbm).toBe(24);
    expect(() => toCoverageRequest(network, coverage({ cpe: "k3" }))).toThrow("/cpe");
  });

  it("is refused where it would cost too much", () => {
    const fine = { ...network, zoom: 16 };
    expect(() => toCoverageRequest(fine, coverage({ area: { radiusM: 60_000 } }))).toThrow("/area");
  });
});
