import { createTempDir } from "@fellmark/testkit";
import request from "supertest";
import { afterAll, describe, expect, test } from "vitest";
import { createFakeService } from "../testing/fakes.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

const post = (body: object) => request(createFakeService(dir.path).app).post("/v1/antennas/parameters").send(body);
const element = { id: "element", kind: "tr38901" };
const horn = { id: "horn", kind: "horn", form: "corrugated", diameterM: 0.15, slantLengthM: 0.3 };

describe("POST /v1/antennas/parameters", () => {
  test("answers with the measures of both antennas and a picture", async () => {
    const { body } = await post({ version: 1, antenna: horn, against: element, frequencyGhz: 5.5 }).expect(200);
    expect(body.antennas.map(({ name }: { name: string }) => name)).toEqual(["horn", "element"]);
    const [, port] = body.antennas[0].atFrequency[0].ports;
    expect(port.efficiency.mainLobe).toBeGreaterThan(0.9);
    expect(body.antennas[1].atFrequency[0].ports[0].efficiencyRefusal).toContain("reference shape");
    expect(body.svg).toMatch(/^<svg /);
  });

  test("takes the window where service is wanted: from the narrowest to the whole sphere", async () => {
    const shareIn = async (window: object) => {
      const { body } = await post({ version: 1, antenna: horn, frequencyGhz: 5.5, window }).expect(200);
      expect(body.antennas[0].atFrequency[0].ports[0].window).toEqual(window);
      return body.antennas[0].atFrequency[0].ports[0].efficiency.window;
    };
    const lowest = await shareIn({ azimuthWidthDeg: 20, elevationFromDeg: -2, elevationToDeg: 0 });
    expect(lowest).toBeLessThan(0.1);
    expect(await shareIn({ azimuthWidthDeg: 360, elevationFromDeg: -90, elevationToDeg: 90 })).toBeCloseTo(1, 9);
  });

  test.each([
    ["an unknown kind", { antenna: { id: "a", kind: "magic" } }, "/antenna/kind"],
    ["no frequency", { frequencyGhz: undefined }, "/frequencyGhz"],
    ["a frequency beyond its limit", { frequencyGhz: 300 }, "/frequencyGhz"],
    [
      "a window upside down",
      { window: { azimuthWidthDeg: 90, elevationFromDeg: 5, elevationToDeg: -5 } },
      "/window/elevationToDeg",
    ],
    ["an unknown field", { colour: "red" }, "/colour"],
    ["a file that is no file", { against: { id: "b", kind: "exchange", text: "hello" } }, "/against/text"],
    ["a line of a table", { antenna: { id: "c", kind: "csv", text: "cut,angleDeg", gainDbi: 1 } }, "/antenna/text"],
  ])("refuses %s by its field", async (_, change, pointer) => {
    const { body } = await post({ version: 1, antenna: element, frequencyGhz: 5.5, ...change }).expect(422);
    expect(body.errors[0].pointer).toBe(pointer);
  });

  test("refuses over 1 MB, and anything but POST", async () => {
    const text = "x".repeat(1_000_001);
    await post({ version: 1, antenna: { id: "a", kind: "exchange", text }, frequencyGhz: 5.5 }).expect(413);
    await request(createFakeService(dir.path).app).get("/v1/antennas/parameters").expect(405);
  });
});
