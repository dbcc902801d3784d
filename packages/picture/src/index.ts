export type { AntennaPlane, AntennaToDraw } from "./antenna/antenna-to-draw.ts";
export { antennaSvg } from "./antenna/draw-antenna.ts";
export { type DrawingContext, newDrawing, toIndexedPng } from "./canvas.ts";
export { css, mix, type Rgb, rounded } from "./colour.ts";
export { font } from "./font.ts";
export { profilePng, profileSvg } from "./profile/draw-profile.ts";
export type { BlockingPlace, ProfileToDraw } from "./profile/profile-to-draw.ts";
