import { createRequire } from "node:module";
import { GlobalFonts } from "@napi-rs/canvas";

/** Family name of the letters on a picture; they come with the package, so no font of the machine is used. */
const MAP_FONT = "Fellmark Map";

let isRegistered = false;

/** Makes MAP_FONT known to the canvas, once a process. */
export function useMapFont(): void {
  if (isRegistered) return;
  const require = createRequire(import.meta.url);
  GlobalFonts.registerFromPath(require.resolve("dejavu-fonts-ttf/ttf/DejaVuSans.ttf"), MAP_FONT);
  GlobalFonts.registerFromPath(require.resolve("dejavu-fonts-ttf/ttf/DejaVuSans-Bold.ttf"), MAP_FONT);
  isRegistered = true;
}

export function mapFont(sizePx: number, weight: "normal" | "bold" = "normal"): string {
  return `${weight} ${sizePx}px "${MAP_FONT}"`;
}
