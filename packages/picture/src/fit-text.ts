import { createDrawing, type DrawingContext } from "./canvas.ts";
import { type FontWeight, toCanvasFont } from "./font.ts";

export interface Letters {
  sizePx: number;
  weight?: FontWeight;
}

/** More characters than this never fit into a line of a picture, and are not measured. */
const LONGEST = 400;

let measuring: DrawingContext | undefined;

export function measureTextPx(text: string, { sizePx, weight }: Letters): number {
  measuring ??= createDrawing(1, 1);
  measuring.font = toCanvasFont(sizePx, weight);
  return measuring.measureText(text).width;
}

/**
 * Words of an external emitter as one line of text: white space as single spaces; no control and format characters (those that
 * turn the direction of writing are among them), halves of characters, or piles of accents.
 */
export function toPlainText(text: string): string {
  return text
    .slice(0, 2 * LONGEST)
    .replace(/\s+/gu, " ")
    .replace(/\p{C}/gu, "")
    .replace(/(\p{M}{2})\p{M}+/gu, "$1")
    .trim();
}

/** Plain text, shortened at its end with an ellipsis where it is wider than a width. */
export function fitText(text: string, mostPx: number, letters: Letters): string {
  const characters = Array.from(toPlainText(text)).slice(0, LONGEST);
  const whole = characters.join("");
  if (measureTextPx(whole, letters) <= mostPx) return whole;
  let [fits, tooLong] = [0, characters.length];
  while (tooLong - fits > 1) {
    const middle = (fits + tooLong) >> 1;
    const isShort = measureTextPx(`${characters.slice(0, middle).join("")}…`, letters) <= mostPx;
    if (isShort) fits = middle;
    else tooLong = middle;
  }
  return `${characters.slice(0, fits).join("").trimEnd()}…`;
}

/** Plain text in lines no wider than a width; what more than `mostLines` would hold is cut from the last. */
export function wrapText(text: string, mostPx: number, mostLines: number, letters: Letters): string[] {
  const lines: string[] = [""];
  for (const word of toPlainText(text).split(" ")) {
    const last = lines[lines.length - 1];
    const longer = last === "" ? word : `${last} ${word}`;
    const isFull = lines.length < mostLines && last !== "" && measureTextPx(longer, letters) > mostPx;
    if (isFull) lines.push(word);
    else lines[lines.length - 1] = longer;
  }
  return lines.map((line) => fitText(line, mostPx, letters));
}
