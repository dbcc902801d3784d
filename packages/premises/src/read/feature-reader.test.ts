import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createFeatureReader } from "./feature-reader.ts";

function read(text: string, pieces: readonly number[] = []): unknown[] {
  const reader = createFeatureReader(text);
  const cuts = [0, ...pieces.map((at) => at % (text.length + 1)).sort((a, b) => a - b), text.length];
  const features = cuts.slice(1).flatMap((cut, index) => reader.push(text.slice(cuts[index], cut)));
  reader.end();
  return features;
}

const feature = fc.record({
  type: fc.constant("Feature"),
  properties: fc.dictionary(fc.string(), fc.oneof(fc.string(), fc.constantFrom('{"', "}]", '\\"', "\\"), fc.integer())),
});

describe("feature reader", () => {
  it("gives the features of a collection, in whatever pieces it comes", () => {
    fc.assert(
      fc.property(fc.array(feature), fc.array(fc.nat(300)), (features, pieces) => {
        const text = JSON.stringify({ type: "FeatureCollection", features, name: "x" });
        expect(read(text, pieces)).toEqual(JSON.parse(JSON.stringify(features)));
      }),
    );
  });

  it("gives features that follow each other, one a line or with record separators", () => {
    const one = { type: "Feature", properties: { a: 1 } };
    expect(read(`${JSON.stringify(one)}\n${JSON.stringify(one)}\n`)).toEqual([one, one]);
    expect(read(`\u001e${JSON.stringify(one)}\n\u001e${JSON.stringify(one)}`)).toEqual([one, one]);
  });

  it.each([
    ["a file that ends in a feature", '{"features":[{"type":"Feature"', /ends in the middle, behind feature 0/],
    ["a list that is not closed", '{"features":[{"type":"Feature"}', /behind feature 1/],
    ["text between features", '{"features":[{} oops {}]}', /not valid GeoJSON behind feature 1/],
    ["a feature that is no JSON", '{"features":[{"a":}]}', /feature 1 cannot be parsed/],
  ])("refuses %s", (_name, text, message) => {
    expect(() => read(text)).toThrow(message);
  });
});
