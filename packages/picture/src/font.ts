import { createRequire } from "node:module";
import { GlobalFonts } from "@napi-rs/canvas";

/** Family name of the letters on a picture; they come with the package, so no font of the machine is used. */
const FAMILY = "Fellmark Picture";

export type FontWeight = "normal" | "bold";

let isRegistered = false;

/** Makes the letters known to the canvas, once a process. */
export function registerFont(): void {
  if (isRegistered) return;
  const require = createRequire(import.meta.url);
  GlobalFonts.registerFromPath(require.resolve("dejavu-fonts-ttf/ttf/DejaVuSans.ttf"), FAMILY);
  GlobalFonts.registerFromPath(require.resolve("dejavu-fonts-ttf/ttf/DejaVuSans-Bold.ttf"), FAMILY);
  isRegistered = true;
}

/** Letters of a size as the canvas takes them. */
export function toCanvasFont(sizePx: number, weight: FontWeight = "normal"): string {
  return `${weight} ${sizePx}px "${FAMILY}"`;
}
