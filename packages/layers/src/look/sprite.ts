import { encodeIndexedPng } from "@fellmark/picture";
import type { TierPlan } from "@fellmark/tiers";
import { hasInk, type LayerClass, listLayerClasses } from "./layer-classes.ts";

/** Pixels along one side of a pattern in the picture. */
const PATTERN_PX = 8;

/** Name of a class's pattern in the sprite. */
export function namePattern({ value }: LayerClass): string {
  return `class-${value}`;
}

/** Index of the patterns in the picture of buildSpritePng. Source: Style Specification 8, sprite. */
export function buildSpriteIndex(plans: readonly TierPlan[]): Record<string, object> {
  const place = { y: 0, width: PATTERN_PX, height: PATTERN_PX, pixelRatio: 1 };
  return Object.fromEntries(
    listPatterned(plans).map((one, index) => [namePattern(one), { x: index * PATTERN_PX, ...place }]),
  );
}

/** The patterns side by side: ink on nothing. */
export function buildSpritePng(plans: readonly TierPlan[]): Promise<Buffer> {
  const patterned = listPatterned(plans);
  const width = patterned.length * PATTERN_PX;
  const indices = Uint8Array.from({ length: width * PATTERN_PX }, (_, pixel) => {
    const [x, y] = [pixel % width, Math.floor(pixel / width)];
    const index = Math.floor(x / PATTERN_PX);
    return hasInk(patterned[index], x, y) ? 1 + index : 0;
  });
  const palette: LayerClass["ink"][] = [[0, 0, 0], ...patterned.map(({ ink }) => ink)];
  return encodeIndexedPng(width, palette, indices, [0]);
}

/** The class that is not known always has a pattern, so there is at least one. */
function listPatterned(plans: readonly TierPlan[]): LayerClass[] {
  return listLayerClasses(plans).filter(({ pattern }) => pattern !== null);
}
