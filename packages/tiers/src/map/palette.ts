import type { Rgb } from "@fellmark/picture";

/**
 * Ends and middle of the ramp, slowest plan to fastest: pale yellow, blue-green, indigo. Our own choice, made so that
 * lightness falls all the way and hue moves along blue and yellow, which the common colour deficiencies keep apart.
 */
const RAMP: Rgb[] = [
  [250, 232, 150],
  [70, 166, 158],
  [44, 28, 100],
];

/** Colours of `count` plans as #rrggbb, best first: the best plan is the darkest. Interpolated in OKLab. */
export function buildTierPalette(count: number): string[] {
  return buildRamp(count).map(([red, green, blue]) => {
    return `#${[red, green, blue].map((part) => part.toString(16).padStart(2, "0")).join("")}`;
  });
}

/** Returns `count` colours, the last of the stops first, evenly spread over the stops and interpolated in OKLab. */
export function buildRamp(count: number, stops: readonly Rgb[] = RAMP): Rgb[] {
  return Array.from({ length: count }, (_, index) => pickColour(stops, count === 1 ? 1 : 1 - index / (count - 1)));
}

/** Colour at a place of the ramp, 0 slowest to 1 fastest. */
function pickColour(stops: readonly Rgb[], place: number): Rgb {
  const at = place * (stops.length - 1);
  const first = Math.min(Math.floor(at), stops.length - 2);
  const from = toOklab(stops[first]);
  const to = toOklab(stops[first + 1]);
  return convertFromOklab([0, 1, 2].map((axis) => from[axis] + (at - first) * (to[axis] - from[axis])));
}

/** Lightness, green to red, blue to yellow. Source: B. Ottosson, A perceptual color space for image processing, 2020. */
export function toOklab(colour: Rgb): number[] {
  const [r, g, b] = colour.map((part) => toLinear(part / 255));
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ];
}

/** The inverse of toOklab, rounded and held within sRGB. */
function convertFromOklab([lightness, a, b]: number[]): Rgb {
  const l = (lightness + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (lightness - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (lightness - 0.0894841775 * a - 1.291485548 * b) ** 3;
  const toByte = (linear: number) => Math.round(255 * Math.min(1, Math.max(0, encodeGamma(linear))));
  return [
    toByte(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
    toByte(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
    toByte(-0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s),
  ];
}

/** Source: IEC 61966-2-1, sRGB. */
function toLinear(part: number): number {
  return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
}

function encodeGamma(part: number): number {
  return part <= 0.0031308 ? 12.92 * part : 1.055 * part ** (1 / 2.4) - 0.055;
}
