import { readFile } from "node:fs/promises";
import {
  buildAreasGeojson,
  buildLegendJson,
  buildLevels,
  buildPmtiles,
  buildSpriteIndex,
  buildSpritePng,
  buildTileJson,
  decodeRaster,
  encodeRaster,
  formatAreasCsv,
  hideSmallAreas,
  LAYER_FILES,
  type LayerRaster,
  outlineLayer,
  renderLegendPng,
  renderLegendSvg,
} from "@fellmark/layers";
import type { LayerTask, PreparedLayer } from "./layer-task.ts";
import { openResultFolder } from "./result-folder.ts";

/** Facts of a coverage's summary that a layer repeats. */
interface SummaryFacts {
  confidence: number;
  availability: number;
  cpeHeightAglM: number;
}

/** Writes the files of a layer: its classes with small areas hidden, at every zoom, and every form that needs all of them. */
export async function prepareLayer({ classesFile, summaryFile, outDir, facts }: LayerTask): Promise<PreparedLayer> {
  const raster = await readRaster(classesFile);
  const { confidence, availability, cpeHeightAglM } = JSON.parse(await readFile(summaryFile, "utf8")) as SummaryFacts;
  const told = { ...facts, confidence, availability, cpeHeightAglM };
  const description = { ...told, ...outlineLayer(raster), plans: raster.plans };
  const { tiles: _none, ...metadata } = buildTileJson({ ...description, version: 1 }, "");
  const result = openResultFolder(outDir);
  await result.write(LAYER_FILES.classes, await encodeRaster(raster));
  await result.write(LAYER_FILES.areas, JSON.stringify(buildAreasGeojson(raster, told)));
  await result.write(LAYER_FILES.areasTable, formatAreasCsv(raster, told));
  await result.write(LAYER_FILES.legend, JSON.stringify(buildLegendJson(raster, told)));
  await result.write(LAYER_FILES.legendSvg, renderLegendSvg(raster, told));
  await result.write(LAYER_FILES.legendPng, await renderLegendPng(raster, told));
  await result.write(LAYER_FILES.sprite, JSON.stringify(buildSpriteIndex(raster.plans)));
  await result.write(LAYER_FILES.spritePng, await buildSpritePng(raster.plans));
  await result.write(LAYER_FILES.archive, buildPmtiles(raster, metadata));
  return { files: result.files(), description };
}

/** The raster of a coverage as a layer shows it. */
async function readRaster(classesFile: string): Promise<LayerRaster> {
  const { plans, levels } = await decodeRaster(await readFile(classesFile));
  const [{ window, classes }] = levels;
  return { plans, levels: buildLevels(window, hideSmallAreas(window, classes, plans.length)) };
}
