import type { ClutterAround } from "@fellmark/coverage";
import { geodesicPoint } from "@fellmark/geodesy";
import type { ClutterMosaic } from "@fellmark/terrain";
import { describe, expect, it } from "vitest";
import { answerAt } from "../place/answer.ts";
import { groundOf, MAST, quietScene, requestOf } from "../scene/testing/hilly-scene.ts";

const term = (terms: { term: string; db: number }[], name: string) => terms.find((one) => one.term === name)?.db ?? 0;

const WOOD: ClutterAround = { kind: "trees", heightM: 15 };
const FIELD: ClutterAround = { kind: "open", heightM: 0 };
const NOT_KNOWN: ClutterAround = { kind: "unknown", heightM: Number.NaN };

/** What stands where, as a mosaic of rasters tells it. */
function mosaicOf(at: (lon: number, lat: number) => ClutterAround): ClutterMosaic {
  return {
    data: { bbox: [-31, 11, -29, 13], buildings: null, canopy: null, landCover: null, table: null, filesUsed: [] },
    at,
    along({ nodeLon, nodeLat }, heightM) {
      const last = nodeLon.length - 1;
      let notKnown = 0;
      for (let i = 0; i < heightM.length; i++) {
        const share = i / (heightM.length - 1);
        const lon = nodeLon[0] + share * (nodeLon[last] - nodeLon[0]);
        heightM[i] = at(lon, nodeLat[0] + share * (nodeLat[last] - nodeLat[0])).heightM;
        if (Number.isNaN(heightM[i])) notKnown++;
      }
      return notKnown;
    },
  };
}

const KM = 1 / 110.6;
const rasters = (model: object = {}) => requestOf({ model: { clutter: { canopy: "c" }, ...model } });
const sceneOf = (request: ReturnType<typeof rasters>, at: (lon: number, lat: number) => ClutterAround) =>
  quietScene(
    request,
    groundOf(() => 10, mosaicOf(at)),
  );

describe("clutter from rasters", () => {
  /** A wood from 1 to 3 km north of the mast; nothing is known beyond 5 km. */
  const land = (_: number, lat: number) => {
    const northKm = (lat - MAST.lat) / KM;
    if (northKm > 5) return NOT_KNOWN;
    return northKm > 1 && northKm < 3 ? WOOD : FIELD;
  };
  const north = (km: number) => geodesicPoint(MAST, 0, km * 1000);

  it("takes from a CPE in the wood what one class for all takes there, and nothing on a field", async () => {
    const stated = quietScene(
      requestOf({ model: { clutter: { class: "trees", heightM: 15 } } }),
      groundOf(() => 10),
    );
    const [among, alike, beside] = await Promise.all([
      answerAt(sceneOf(rasters(), land), north(2)),
      answerAt(stated, north(2)),
      answerAt(sceneOf(rasters(), land), north(4)),
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
        const { links } = await answerAt(scene, north(2), { heightAglM, cpe: { maxHeightAglM: heightAglM } });
        return term(links[0].down, "clutter-cpe");
      }),
    );
    expect(losses).toEqual(losses.toSorted((a, b) => a - b));
    expect(losses[3]).toBe(-0);
  });

  it("takes at a mast only where its antenna stands below", async () => {
    const high = { kind: "trees", heightM: 45 } as const;
    const atMast = async (around: ClutterAround) => {
      const { links } = await answerAt(
        sceneOf(rasters(), () => around),
        north(4),
      );
      return term(links[0].down, "clutter-mast");
    };
    expect(await atMast(WOOD)).toBe(-0);
    expect(await atMast(high)).toBeLessThan(-5);
  });

  it("asks for a survey where they do not cover the place, and says so", async () => {
    const answer = await answerAt(sceneOf(rasters(), land), north(6));
    expect(answer.clutter).toMatchObject({ known: false, cpe: null });
    expect(["survey-first", "not-serviceable"]).toContain(answer.verdict);
    expect(answer.warnings.map(({ code }) => code)).toContain("clutter_not_covered");
  });

  it("by method p1812 stands in the way instead, on the points between the ends", async () => {
    const [ends, way] = await Promise.all([
      answerAt(sceneOf(rasters(), land), north(4)),
      answerAt(sceneOf(rasters({ method: "path-clutter" }), land), north(4)),
    ]);
    expect(term(way.links[0].down, "diffraction")).toBeLessThan(term(ends.links[0].down, "diffraction") - 3);
    const inWood = await answerAt(sceneOf(rasters({ method: "path-clutter" }), land), north(2));
    expect(term(inWood.links[0].down, "clutter-cpe")).toBe(-0);
    // The wood is bare ground to the profile and 15 m of clutter on it.
    const { profile } = await answerAt(sceneOf(rasters(), land), north(4), { withProfile: true });
    const middle = Math.floor((profile?.distanceM.length ?? 0) / 2);
    expect([profile?.groundAmslM[middle], profile?.clutterHeightM?.[middle]]).toEqual([10, 15]);
  });
});
