import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { computeJobId, type JobIdentity, toCanonicalJson } from "./canonical.ts";
import { parseCoverageRequest } from "./parse-request.ts";
import { createExampleRequest } from "./testing/example-request.ts";

/** The same value with the keys of every object in reverse order. */
function reversed(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(reversed);
  if (typeof value !== "object" || value === null) return value;
  const entries = Object.entries(value).reverse();
  return Object.fromEntries(entries.map(([key, item]) => [key, reversed(item)]));
}

describe("canonical JSON", () => {
  it("sorts the keys at every depth and leaves lists as they are", () => {
    expect(toCanonicalJson({ b: [{ d: 1, c: 2 }], a: { f: null, e: "x y" } })).toBe(
      '{"a":{"e":"x y","f":null},"b":[{"c":2,"d":1}]}',
    );
  });

  it("does not depend on the order of keys, and parses to the same value", () => {
    fc.assert(
      fc.property(fc.jsonValue(), (value) => {
        const text = toCanonicalJson(value);
        expect(toCanonicalJson(reversed(value))).toBe(text);
        expect(toCanonicalJson(JSON.parse(text))).toBe(text);
      }),
      { seed: 2 },
    );
  });

  it("writes -0 as 0, and numbers as the shortest text that gives them back", () => {
    expect(toCanonicalJson([-0, 1e3, 1.5, 0.1 + 0.2])).toBe("[0,1000,1.5,0.30000000000000004]");
    expect(toCanonicalJson({ lat: -0 })).toBe(toCanonicalJson({ lat: 0 }));
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])("refuses %d, at any depth", (value) => {
    expect(() => toCanonicalJson({ a: [{ b: value }] })).toThrow(TypeError);
  });

  it("keeps a __proto__ key as data", () => {
    expect(toCanonicalJson(JSON.parse('{"b":1,"__proto__":{"c":2}}'))).toBe('{"__proto__":{"c":2},"b":1}');
  });

  it("is the same for a request with its defaults left out and spelled out", () => {
    const {
      model: _model,
      terrain: _terrain,
      quality: _quality,
      emitters: _emitters,
      ...short
    } = createExampleRequest();
    const whole = { ...short, model: {}, terrain: { fillVoids: false }, quality: "accurate", emitters: [] };
    expect(toCanonicalJson(parseCoverageRequest(short))).toBe(toCanonicalJson(parseCoverageRequest(whole)));
  });
});

describe("the id of a job", () => {
  const identity: JobIdentity = {
    tenant: "default",
    canonicalRequest: '{"a":1}',
    modelVersion: "m1",
    terrainFingerprint: "t1",
  };

  it("is 'j' and the SHA-256 of the parts as a JSON list", () => {
    // printf '["default","{\\"a\\":1}","m1","t1"]' | sha256sum (GNU coreutils)
    expect(computeJobId(identity)).toBe("jc6155f12c70c4675fe49b11cb0072d77bc717acc7673e2e87a538c1c254ee775");
  });

  it.each(Object.keys(identity) as (keyof JobIdentity)[])("differs with another %s", (part) => {
    expect(computeJobId({ ...identity, [part]: `${identity[part]}x` })).not.toBe(computeJobId(identity));
  });

  it("does not confuse where one part ends and the next begins", () => {
    const moved = { ...identity, modelVersion: "m", terrainFingerprint: "1t1" };
    const quoted = { ...identity, modelVersion: 'm1","t1', terrainFingerprint: "" };
    expect(new Set([identity, moved, quoted].map(computeJobId)).size).toBe(3);
  });
});
