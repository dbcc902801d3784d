import { createCanvas, loadImage } from "@napi-rs/canvas";
import { describe, expect, test } from "vitest";
import { renderProfilePng, renderProfileSvg } from "./draw-profile.ts";
import type { ProfileToDraw } from "./profile-to-draw.ts";

const FOUR_THIRDS_M = (4 / 3) * 6_371_000;

function profile(lengthM: number, points: number, changes: Partial<ProfileToDraw> = {}): ProfileToDraw {
  const distanceM = Array.from({ length: points }, (_, index) => (lengthM * index) / (points - 1));
  return {
    title: "west-top to 4 Kiln Row",
    subtitle: "sector west-top-90",
    frequencyGhz: 5.8,
    effectiveEarthRadiusM: FOUR_THIRDS_M,
    distanceM,
    groundAmslM: distanceM.map(() => 0),
    clutterHeightM: null,
    mast: { label: "west-top", heightAglM: 30 },
    cpe: { label: "4 Kiln Row", heightAglM: 30 },
    sight: "west-top-90, 2.0 km away: clear line of sight.",
    blocking: [],
    caution: "Prediction, not a promise: survey before you sell or climb.",
    ...changes,
  };
}

/** All words of a picture. */
function words(svg: string): string[] {
  return Array.from(svg.matchAll(/<text[^>]*>([^<]*)<\/text>/g), ([, text]) => text);
}

/** Coordinates of the paths of a colour, x and y in turn. */
function paths(svg: string, colour: string): number[][] {
  return Array.from(svg.matchAll(/<path d="([^"]*)"[^>]*stroke="([^"]*)"/g))
    .filter(([, , stroke]) => stroke === colour)
    .map(([, d]) => Array.from(d.matchAll(/-?[\d.]+/g), ([text]) => Number(text)));
}

/** Height of a point of the plot, or of the level strip, m, from the tick labels "0 m" and so on to the left of it. */
function heightScale(svg: string, isIn = (y: number) => y < 340): (y: number) => number {
  const ticks = Array.from(svg.matchAll(/<text x="58" y="([\d.]+)"[^>]*>(-?\d+) m</g), ([, y, height]) => ({
    y: Number(y) - 4,
    heightM: Number(height),
  }));
  const [first, last] = [ticks.find(({ y }) => isIn(y)), ticks.findLast(({ y }) => isIn(y))];
  if (!first || !last || first === last) throw new Error("there are no two ticks");
  return (y) => first.heightM + ((y - first.y) * (last.heightM - first.heightM)) / (last.y - first.y);
}

const ZONE = "rgb(48, 88, 122)";
const GROUND = "rgb(92, 70, 48)";

describe("what is drawn is true to scale", () => {
  test("the zone of 5 km at 5.8 GHz reaches 8.0 m from the line half way, its 60 % 4.8 m", () => {
    const svg = renderProfileSvg(profile(5_000, 200));
    const heightM = heightScale(svg);
    const [whole, free] = paths(svg, ZONE).map((ring) => {
      const heights = ring.filter((_, at) => at % 2 === 1).map(heightM);
      return (Math.max(...heights) - Math.min(...heights)) / 2;
    });
    expect(Math.abs(whole - 8.0)).toBeLessThan(0.1);
    expect(Math.abs(free - 4.8)).toBeLessThan(0.1);
  });

  test.each([
    [5, 0.4],
    [10, 1.5],
    [15, 3.3],
  ])("the sea bulges over %i km by %f m at 4/3 of the Earth's radius", (km, bulge) => {
    const svg = renderProfileSvg(profile(1000 * km, 200));
    const heights = paths(svg, GROUND)[0]
      .filter((_, at) => at % 2 === 1)
      .map(heightScale(svg));
    expect(Math.abs(Math.max(...heights) - bulge)).toBeLessThan(0.1);
    expect(words(svg).join()).toContain(`bulge ${bulge.toFixed(1)} m`);
  });

  test("a needle between two columns keeps its height", () => {
    const needle = profile(60_000, 6_001);
    needle.groundAmslM[3_333] = 200;
    const heights = paths(renderProfileSvg(needle), GROUND)[0].filter((_, at) => at % 2 === 1);
    const bulgeM = (33_330 * 26_670) / (2 * FOUR_THIRDS_M);
    expect(Math.abs(heightScale(renderProfileSvg(needle))(Math.min(...heights)) - 200 - bulgeM)).toBeLessThan(0.6);
  });
});

describe("where the zone is too thin to read on the plot", () => {
  const isStrip = (y: number) => y > 340;
  const steep = profile(5_000, 500, { mast: { label: "west-top", heightAglM: 400 } });
  const svg = renderProfileSvg(steep);

  test("it is drawn once more along a level line, to its own scale", () => {
    expect(words(svg)).toContain("Near the line of sight, drawn level: metres above and below it");
    const rings = paths(svg, ZONE).filter((ring) => isStrip(ring[1]));
    const radii = rings.slice(0, 2).map((ring) => {
      const heights = ring.filter((_, at) => at % 2 === 1).map(heightScale(svg, isStrip));
      return (Math.max(...heights) - Math.min(...heights)) / 2;
    });
    expect(Math.abs(radii[0] - 8.0)).toBeLessThan(0.1);
    expect(Math.abs(radii[1] - 4.8)).toBeLessThan(0.1);
  });

  test("a needle stands as far over the level line as over the sloping one", () => {
    const needle = structuredClone(steep);
    const at = 250;
    const fromMastM = needle.distanceM[at];
    const lineM = 400 - (370 * fromMastM) / 5_000;
    needle.groundAmslM[at] = lineM - (fromMastM * (5_000 - fromMastM)) / (2 * FOUR_THIRDS_M) + 9;
    const drawn = renderProfileSvg(needle);
    const [, ground] = paths(drawn, GROUND);
    const heights = ground.filter((y, index) => index % 2 === 1 && isStrip(y)).map(heightScale(drawn, isStrip));
    expect(Math.abs(Math.max(...heights) - 9)).toBeLessThan(0.5);
  });

  test("and nothing of it leaves the strip", () => {
    const wall = structuredClone(steep);
    wall.groundAmslM = wall.distanceM.map((atM) => (atM > 2_000 && atM < 2_500 ? 900 : 0));
    const [, ground] = paths(renderProfileSvg(wall), GROUND);
    const ys = ground.filter((_, at) => at % 2 === 1).filter(isStrip);
    expect(Math.min(...ys)).toBeGreaterThanOrEqual(382);
    expect(Math.max(...ys)).toBeLessThanOrEqual(482);
  });

  test("a flat path needs none", () => {
    expect(words(renderProfileSvg(profile(5_000, 200))).join()).not.toContain("drawn level");
  });
});

describe("what is not known", () => {
  test("a gap parts the ground and says so, be it one sample of thousands", () => {
    const gap = profile(60_000, 6_001);
    gap.groundAmslM[3_333] = null;
    expect(words(renderProfileSvg(gap))).toEqual(expect.arrayContaining(["not known", "ground, part not known"]));
    const [, d = ""] = /<path d="([^"]*)"[^>]*stroke="rgb\(92, 70, 48\)"/.exec(renderProfileSvg(gap)) ?? [];
    expect(d.match(/M/g)).toHaveLength(2);
  });

  test("without ground under an antenna there is no line, and no height without any ground", () => {
    const nothing = profile(6_000, 10);
    nothing.groundAmslM.fill(null);
    const svg = renderProfileSvg(nothing);
    expect(words(svg)).toEqual(
      expect.arrayContaining(["not known", "no line: ground under an antenna not known", "ground: not known"]),
    );
    expect(paths(svg, ZONE)).toEqual([]);
    expect(svg).not.toMatch(/NaN|Infinity/);
  });

  test("clutter not known is not clutter of no height", () => {
    const text = (clutterHeightM: ProfileToDraw["clutterHeightM"]) =>
      words(renderProfileSvg(profile(1_000, 3, { clutterHeightM }))).find((line) => line.includes("trees"));
    expect(text(null)).toBe("trees or buildings: not known");
    expect(text([0, null, 10])).toBe("trees or buildings, part not known");
    expect(text([0, 5, 10])).toBe("trees or buildings");
    expect(text([0, 0, 0])).toBe("no trees or buildings");
  });
});

describe("blocking places", () => {
  const place = (index: number) => ({
    distanceM: 1_000 * index,
    heightAmslM: 50,
    excessM: index === 3 ? 0.4 : 10 + index,
  });

  test("are numbered from the mast, with distance, height and metres over the line", () => {
    const text = words(renderProfileSvg(profile(15_000, 100, { blocking: [place(8), place(3)] })));
    expect(text.filter((line) => /^[12]$/.test(line))).toHaveLength(4);
    expect(text.slice(text.indexOf("from the mast"))).toEqual(
      expect.arrayContaining(["3.00 km", "50 m", "0.4 m", "8.00 km", "18.0 m"]),
    );
    expect(text.indexOf("3.00 km")).toBeLessThan(text.indexOf("8.00 km"));
  });

  test("beyond eight, the least are counted only", () => {
    const blocking = Array.from({ length: 12 }, (_, index) => place(index + 1));
    const text = words(renderProfileSvg(profile(15_000, 100, { blocking })));
    expect(text).toContain("and 4 more that rise less above the line");
    expect(text).not.toContain("0.4 m");
  });

  test("where there is none there is no table, and the sentence on the line of sight stands alone", () => {
    const text = words(renderProfileSvg(profile(900, 2)));
    expect(text).toContain("west-top-90, 2.0 km away: clear line of sight.");
    expect(text).not.toContain("from the mast");
  });

  test("a long sentence on the line of sight is wrapped, and nothing of it is cut", () => {
    const sight = Array.from({ length: 30 }, (_, index) => `obstacle-${index}`).join(" ");
    const text = words(renderProfileSvg(profile(900, 2, { sight }))).join(" ");
    expect(text).toContain(sight);
  });
});

test("words of external emitters stay words", () => {
  const hostile = "<script>alert('1')</script> & \"q\" \u202Egnp.exe\u0000\u001b";
  const svg = renderProfileSvg(
    profile(5_000, 20, {
      title: hostile,
      subtitle: "x".repeat(10_000),
      mast: { label: "W".repeat(10_000), heightAglM: 30 },
      cpe: { label: hostile, heightAglM: 6 },
      caution: `${hostile} ${"]]>".repeat(5_000)}`,
    }),
  );
  expect(svg.replaceAll("\n", "")).not.toMatch(/<script|\p{C}/u);
  expect(svg).toContain("&lt;script&gt;alert(&apos;1&apos;)&lt;/script&gt; &amp; &quot;q&quot; gnp.exe");
  expect(svg.match(/<(?!\/?(svg|title|rect|path|circle|text)\b)/g)).toBeNull();
  expect(svg.replace("http://www.w3.org/2000/svg", "")).not.toMatch(/href|url\(|http|\bid=/);
  expect(svg.length).toBeLessThan(30_000);
});

describe("bytes", () => {
  const hills = profile(10_000, 700, {
    clutterHeightM: Array.from({ length: 700 }, (_, at) => (at % 100 < 40 ? 12 : 0)),
  });
  hills.groundAmslM = hills.distanceM.map((atM) => 40 + 30 * Math.sin(atM / 900));

  test("are the same for the same profile", async () => {
    expect(renderProfileSvg(hills)).toBe(renderProfileSvg(structuredClone(hills)));
    expect(Buffer.from(await renderProfilePng(hills)).equals(await renderProfilePng(structuredClone(hills)))).toBe(
      true,
    );
  });

  test("of the PNG are those of the SVG at twice the size", async () => {
    const svg = renderProfileSvg(hills);
    const image = await loadImage(Buffer.from(await renderProfilePng(hills)));
    const height = Number(/height="(\d+)"/.exec(svg)?.[1]);
    expect([image.width, image.height]).toEqual([1_800, 2 * height]);
    const context = createCanvas(image.width, image.height).getContext("2d");
    context.drawImage(image, 0, 0);
    const ground = paths(svg, GROUND)[0];
    for (let at = 100; at < ground.length - 2; at += 200) {
      const { data } = context.getImageData(Math.round(2 * ground[at]) - 1, Math.round(2 * ground[at + 1]) - 1, 3, 3);
      expect(Math.min(...data.filter((_, part) => part % 4 === 0))).toBeLessThan(140);
    }
  });
});

test.each<[string, Partial<ProfileToDraw>, string]>([
  ["one point", { distanceM: [0], groundAmslM: [1] }, "2 or more distances, got 1"],
  ["distances that fall", { distanceM: [0, 2, 1], groundAmslM: [1, 1, 1] }, "start at 0 and rise"],
  ["an end at infinity", { distanceM: [0, Number.POSITIVE_INFINITY], groundAmslM: [1, 1] }, "start at 0 and rise"],
  ["too few heights", { groundAmslM: [1] }, "3 distances has 1 heights"],
  ["too few heights of clutter", { clutterHeightM: [1] }, "3 distances has 1 heights"],
  ["no frequency", { frequencyGhz: Number.NaN }, "frequencyGhz must be above 0"],
])("%s is refused", (_, changes, words) => {
  expect(() => renderProfileSvg(profile(100, 3, changes))).toThrow(words);
});
