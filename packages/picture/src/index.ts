export type { AntennaPlane, AntennaToDraw } from "./antenna/antenna-to-draw.ts";
export { renderAntennaSvg } from "./antenna/draw-antenna.ts";
export { createDrawing, type DrawingContext, toIndexedPng } from "./canvas.ts";
export { mix, type Rgb, roundColour, toCss } from "./colour.ts";
export { toCanvasFont } from "./font.ts";
export { encodeIndexedPng } from "./indexed-png.ts";
export { renderProfilePng, renderProfileSvg } from "./profile/draw-profile.ts";
export type { ProfileToDraw } from "./profile/profile-to-draw.ts";
