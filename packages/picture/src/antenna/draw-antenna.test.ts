import { describe, expect, it } from "vitest";
import type { AntennaToDraw } from "./antenna-to-draw.ts";
import { renderAntennaSvg } from "./draw-antenna.ts";

const CURVE_STEPS = 720;

/** A gain that falls by 10 dB every 30 degrees off ahead. */
const FALLING = Float64Array.from({ length: CURVE_STEPS }, (_, step) => 20 - Math.abs(step / 2 - 180) / 3);

function antennas(...names: string[]): AntennaToDraw {
  const curvesDbi = names.map(() => FALLING);
  return {
    title: "Antenna at 5.5 GHz",
    names,
    planes: [
      { title: "Around", facing: "up-clockwise", curvesDbi },
      { title: "Up and down", facing: "right-anticlockwise", curvesDbi },
    ],
    outerDbi: 20,
    table: [
      ["at 5.5 GHz", ...names],
      ["gain, dBi", ...names.map(() => "20.00")],
    ],
    notes: ["No beam efficiency of b: a reference shape"],
  };
}

/** Corners of the closed lines of a colour and width 2, px. */
function curvesOf(svg: string): { dash: string | undefined; corners: [number, number][] }[] {
  const paths = svg.matchAll(/<path d="M([^"]*)Z" fill="none" stroke="[^"]*" stroke-width="2"([^>]*)>/g);
  return Array.from(paths, ([, d, rest]) => {
    const numbers = d.split(" ").map(Number);
    const corners = Array.from({ length: numbers.length / 2 }, (_, at): [number, number] => {
      return [numbers[2 * at], numbers[2 * at + 1]];
    });
    return { dash: /dasharray="([^"]*)"/.exec(rest)?.[1], corners };
  });
}

describe("a picture of antennas", () => {
  it("draws a curve for each antenna in each plane, told apart by dash and words", () => {
    const svg = renderAntennaSvg(antennas("a", "b"));
    expect(curvesOf(svg).map(({ dash }) => dash)).toEqual([undefined, "7 4", undefined, "7 4"]);
    expect(svg).toContain(">a (solid line)<");
    expect(svg).toContain(">b (dashed line)<");
    expect(svg).toContain("20 dBi");
    expect(svg).toContain(">No beam efficiency of b: a reference shape<");
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
  });

  it("puts ahead at the top or right, and the rings 10 dB apart", () => {
    const [around, upright] = curvesOf(renderAntennaSvg(antennas("a"))).map(({ corners }) => corners);
    const [ahead, aside] = [CURVE_STEPS / 2, CURVE_STEPS / 2 + 180];
    // 20 dBi at the rim, 170 px from the centres (235, 325) and (665, 325); 90 degrees off it has fallen by 30 dB.
    expect(around[ahead]).toEqual([235, 155]);
    expect(around[aside]).toEqual([235 + 68, 325]);
    expect(upright[ahead]).toEqual([665 + 170, 325]);
    expect(upright[aside]).toEqual([665, 325 - 68]);
  });

  it("escapes names and drops what XML cannot hold", () => {
    const svg = renderAntennaSvg(antennas(`<script>"a" & 'b'\u0000\u0007</script>`));
    expect(svg).toContain("&lt;script&gt;&quot;a&quot; &amp; &apos;b&apos;&lt;/script&gt;");
    expect(svg).not.toContain("<script");
  });

  it("keeps both ends of a name that is too long for its place", () => {
    const svg = renderAntennaSvg(antennas(`sector ${"x".repeat(200)} north.json`));
    expect(svg).toMatch(/>sector x{8}…x{3} north\.json<\/text>/);
    expect(svg).toMatch(/>sector x{33}…x{28} north\.json \(solid line\)<\/text>/);
  });

  it("is the same for the same antennas", () => {
    expect(renderAntennaSvg(antennas("a", "b"))).toBe(renderAntennaSvg(antennas("a", "b")));
  });
});
