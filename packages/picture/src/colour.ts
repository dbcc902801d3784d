/** Red, green and blue from 0 to 255. */
export type Rgb = [number, number, number];

/** The whole-numbered colour at a share of the way between two. */
export function mix(from: Rgb, to: Rgb, share: number): Rgb {
  return roundColour([0, 1, 2].map((part) => from[part] + share * (to[part] - from[part])) as Rgb);
}

/** Whole numbers held within 0 to 255. */
export function roundColour(colour: Rgb): Rgb {
  return colour.map((part) => Math.round(Math.min(255, Math.max(0, part)))) as Rgb;
}

export function toCss([red, green, blue]: Rgb): string {
  return `rgb(${red}, ${green}, ${blue})`;
}
