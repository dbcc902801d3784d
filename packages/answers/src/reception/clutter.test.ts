import type { ClutterAround } from "@fellmark/coverage";
import { findGeodesicPoint } from "@fellmark/geodesy";
import { CLUTTER_KINDS, type ClutterMosaic } from "@fellmark/terrain";
import { describe, expect, it } from "vitest";
import { answerPoint } from "../place/answer.ts";
import { buildQuietScene, buildRowRequest, createSyntheticGround, MAST } from "../scene/testing/hilly-scene.ts";

const term = (terms: { term: string; db: number }[], name: string) => terms.find((one) => one.term === name)?.db ?? 0;

const WOOD: ClutterAround = { kind: "trees", heightM: 15, isMeasured: true };
const FIELD: ClutterAround = { kind: "open", heightM: 0, isMeasured: true };
const NOT_KNOWN: ClutterAround = { kind: "unknown", heightM: Number.NaN, isMeasured: false };

/** Clutter by place, as a mosaic of rasters states it. */
function mosaicOf(at: (lon: number, lat: number) => ClutterAround): ClutterMosaic {
  return {
    data: { bbox: [-31, 11, -29, 13], buildings: null, canopy: null, landCover: null, table: null, filesUsed: [] },
    findClutter: at,
    stepM: 30,
    sampleLine({ nodeLon, nodeLat }, heightM, kinds, isMeasured) {
      const last = nodeLon.length - 1;
      let notKnown = 0;
      for (let i = 0; i < heightM.length; i++) {
        const share = i / (heightM.length - 1);
        const lon = nodeLon[0] + share * (nodeLon[last] - nodeLon[0]);
        const found = at(lon, nodeLat[0] + share * (nodeLat[last] - nodeLat[0]));
        heightM[i] = found.heightM;
        kinds[i] = CLUTTER_KINDS.indexOf(found.kind);
        if (isMeasured) isMeasured[i] = Number(found.isMeasured);
        if (Number.isNaN(heightM[i])) notKnown++;
      }
      return notKnown;
    },
  };
}

const KM = 1 / 110.6;
const rasters = (model: object = {}) =>
  buildRowRequest({ model: { clutter: { canopy: "c" }, method: "end-clutter", ...model } });
const sceneOf = (request: ReturnType<typeof rasters>, at: (lon: number, lat: number) => ClutterAround) =>
  buildQuietScene(
    request,
    createSyntheticGround(() => 10, mosaicOf(at)),
  );

describe("clutter from rasters", () => {
  /** A wood from 1 to 3 km north of the mast; nothing is known beyond 5 km. */
  const land = (_: number, lat: number) => {
    const northKm = (lat - MAST.lat) / KM;
    if (northKm > 5) return NOT_KNOWN;
    return northKm > 1 && northKm < 3 ? WOOD : FIELD;
  };
  const north = (km: number) => findGeodesicPoint(MAST, 0, km * 1000);

  it("takes from a CPE in the wood what one class for all takes there, and nothing on a field", async () => {
    const stated = buildQuietScene(
      buildRowRequest({ model: { clutter: { class: "trees", heightM: 15 } } }),
      createSyntheticGround(() => 10),
    );
    const [among, alike, beside] = await Promise.all([
      answerPoint(sceneOf(rasters(), land), north(2)),
      answerPoint(stated, north(2)),
      answerPoint(sceneOf(rasters(), land), north(4)),
    ]);
    expect(term(among.links[0].down, "clutter-cpe")).toBeLessThan(-10);
    expect(term(among.links[0].down, "clutter-cpe")).toBeCloseTo(term(alike.links[0].down, "clutter-cpe"), 9);
    expect(among.clutter).toEqual({ known: true, cpe: WOOD, mast: among.links.map(() => expect.anything()) });
    expect(beside.clutter.cpe?.kind).toBe("open");
  });

  it("takes the less the taller the CPE stands, and nothing above the trees", async () => {
    const scene = sceneOf(rasters(), land);
    const losses = await Promise.all(
      [4, 8, 12, 16].map(async (heightAglM) => {
        const { links } = await answerPoint(scene, north(2), { heightAglM, cpe: { maxHeightAglM: heightAglM } });
        return term(links[0].down, "clutter-cpe");
      }),
    );
    expect(losses).toEqual(losses.toSorted((a, b) => a - b));
    expect(losses[3]).toBe(-0);
  });

  it("takes at a mast only where its antenna stands below", async () => {
    const high: ClutterAround = { kind: "trees", heightM: 45, isMeasured: true };
    const atMast = async (around: ClutterAround) => {
      const { links } = await answerPoint(
        sceneOf(rasters(), () => around),
        north(4),
      );
      return term(links[0].down, "clutter-mast");
    };
    expect(await atMast(WOOD)).toBe(-0);
    expect(await atMast(high)).toBeLessThan(-5);
  });

  it("asks for a survey where they do not cover the place, and says so", async () => {
    const answer = await answerPoint(sceneOf(rasters(), land), north(6));
    expect(answer.clutter).toMatchObject({ known: false, cpe: null });
    expect(["survey-first", "not-serviceable"]).toContain(answer.verdict);
    expect(answer.warnings.map(({ code }) => code)).toContain("clutter_not_covered");
  });

  it("measured on the way costs over 10 dB behind the wood by path-clutter, and nothing at the end in it", async () => {
    const [ends, way] = await Promise.all([
      answerPoint(sceneOf(rasters(), land), north(4)),
      answerPoint(sceneOf(rasters({ method: "path-clutter" }), land), north(4)),
    ]);
    const [clear, wooded] = [ends.links[0].down, way.links[0].down];
    expect(term(wooded, "diffraction")).toBeCloseTo(term(clear, "diffraction"), 9);
    expect(term(wooded, "clutter-path")).toBeLessThan(-10);
    expect(way.links[0].inTheWay.map(({ kind }) => kind)).toContain("trees");
    expect(way.reason).toContain("Trees");
    expect(way.reason).not.toContain("clear line of sight");
    const inWood = await answerPoint(sceneOf(rasters({ method: "path-clutter" }), land), north(2));
    expect(term(inWood.links[0].down, "clutter-cpe")).toBe(-0);
    expect(term(inWood.links[0].down, "clutter-path")).toBeLessThan(-10);
    // The wood is bare ground to the profile and 15 m of clutter on it.
    const { profile } = await answerPoint(sceneOf(rasters(), land), north(4), { withProfile: true });
    const middle = Math.floor((profile?.distanceM.length ?? 0) / 2);
    expect([profile?.groundAmslM[middle], profile?.clutterHeightM?.[middle]]).toEqual([10, 15]);
  });
});

describe("a house at the place", () => {
  const HOUSE: ClutterAround = { kind: "suburban", heightM: 8, isMeasured: true };
  const at = findGeodesicPoint(MAST, 0, 3000);
  /** A house of 8 m and 30 m by 30 m around the place, a field elsewhere. */
  const land = (_: number, lat: number) => (Math.abs(lat - at.lat) * 110_600 < 15 ? HOUSE : FIELD);
  const scene = sceneOf(rasters({ method: "path-clutter" }), land);

  it("has the CPE a metre above its roof, which does not block its line", async () => {
    const answer = await answerPoint(scene, at);
    expect(answer.heightAglM).toBe(9);
    expect(answer.links[0]).toMatchObject({ class: "clear", inTheWay: [] });
    expect(term(answer.links[0].down, "clutter-path")).toBe(-0);
    expect(answer.reason).toContain("The CPE stands on the roof, 1 m above it.");
  });

  it("keeps the CPE on the wall that faces the sector at its own height", async () => {
    const answer = await answerPoint(scene, at, { cpe: { mount: "wall" } });
    expect([answer.heightAglM, answer.links[0].class]).toEqual([buildRowRequest().cpe.heightAglM, "clear"]);
    expect(answer.reason).not.toContain("roof");
  });

  it("of a neighbour blocks the line", async () => {
    const behind = findGeodesicPoint(MAST, 0, 3060);
    const answer = await answerPoint(scene, behind, { heightAglM: 4 });
    expect(answer.links[0].inTheWay[0]?.kind).toBe("building");
    expect(answer.links[0].class).not.toBe("clear");
  });
});
