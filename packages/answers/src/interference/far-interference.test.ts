import { toMilliwatts } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { buildPlace } from "../reception/place-at.ts";
import { findStanding, rateLink, sortStrongestFirst } from "../reception/standing.ts";
import { findView } from "../scene/cpe-view.ts";
import {
  buildQuietScene,
  buildRowRequest,
  createHills,
  createSyntheticGround,
  drawPlaces,
  type HeightAt,
} from "../scene/testing/hilly-scene.ts";
import { findFarArrival } from "./far-field.ts";
import { addInterference, createInterference, sumInterferenceMw } from "./interference.ts";

/** Masts in a row, of which only some are in service range; all sectors of an azimuth share a channel. */
const REQUEST = buildRowRequest({ masts: 12, apartM: 5000 });

describe.each<[string, HeightAt]>([
  ["on a plain", () => 10],
  ["among hills", createHills(9)],
])("interference from beyond the service radius %s", (_, heightAt) => {
  it("is within 0.1 dB of the sum over every sender, at every height", () => {
    const ground = createSyntheticGround(heightAt);
    const scene = buildQuietScene(REQUEST, ground);
    const view = findView(scene);
    let worstDb = 0;
    let mattersDb = 0;
    for (const at of drawPlaces(40, 7000, 3)) {
      const place = buildPlace(view, ground, at, { greatestHeightM: 9 });
      for (const heightAglM of [4, 9]) {
        const standing = findStanding(view, place, heightAglM);
        const [wanted] = sortStrongestFirst(standing);
        const aim = { wanted, overlap: view.overlap(wanted.sender.number), findSigmaDb: () => 6 };
        const noiseMw = toMilliwatts(view.links[wanted.sender.number].down.noiseDbm);
        const sums = view.ports.map(createInterference);
        addInterference(view, aim, standing.arrivals, sums);
        const nearMw = sumInterferenceMw(sums[0]);
        const { far } = place;
        if (!far) throw new Error("nobody is far");
        for (const station of far.stations) {
          for (const mast of station.station.masts) {
            for (const number of mast.senders) {
              addInterference(
                view,
                aim,
                [findFarArrival(view, far, station, { mast, number, cpe: standing.cpe })],
                sums,
              );
            }
          }
        }
        const told = sumInterferenceMw(rateLink(view, place, standing, wanted).margins.interference);
        const allMw = sumInterferenceMw(sums[0]);
        worstDb = Math.max(worstDb, 10 * Math.log10((noiseMw + allMw) / (noiseMw + told)));
        mattersDb = Math.max(mattersDb, 10 * Math.log10((noiseMw + allMw) / (noiseMw + nearMw)));
      }
    }
    console.info(`far senders raise the noise by up to ${mattersDb.toFixed(2)} dB; left out: ${worstDb.toFixed(4)} dB`);
    expect(mattersDb).toBeGreaterThan(0.2);
    expect(worstDb).toBeLessThan(0.1);
    expect(worstDb).toBeGreaterThanOrEqual(0);
  });
});
