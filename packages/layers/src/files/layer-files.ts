/** Names of the files of a prepared layer; `classes` is for the service alone. */
export const LAYER_FILES = {
  classes: "classes.bin",
  areas: "areas.geojson",
  areasTable: "areas.csv",
  legend: "legend.json",
  legendSvg: "legend.svg",
  legendPng: "legend.png",
  sprite: "sprite.json",
  spritePng: "sprite.png",
  archive: "archive.pmtiles",
} as const;
