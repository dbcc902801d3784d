export { buildAreasGeojson, formatAreasCsv } from "./files/layer-areas.ts";
export { LAYER_FILES } from "./files/layer-files.ts";
export { buildPmtiles } from "./files/pmtiles.ts";
export type { LayerFacts, LayerLevel, LayerRaster } from "./layer-raster.ts";
export { buildLegendJson, renderLegendPng, renderLegendSvg } from "./look/legend.ts";
export {
  buildStyle,
  buildTileJson,
  type LayerDescription,
  type LayerOutline,
  outlineLayer,
} from "./look/map-documents.ts";
export { buildSpriteIndex, buildSpritePng } from "./look/sprite.ts";
export { buildLevels } from "./raster/build-levels.ts";
export { hideSmallAreas, SMALL_AREA_RULE } from "./raster/hide-small-areas.ts";
export { decodeRaster, encodeRaster, TIER_CLASSES_FILE } from "./raster/raster-file.ts";
export { isTilePlace, type TilePlace } from "./tiles/cut-cells.ts";
export { buildPictureTile, type PictureSize } from "./tiles/picture-tile.ts";
export { buildVectorTile } from "./tiles/vector-tile.ts";
