import { computeTierAreas, TIER_CLASS, type TierCollection, TRACE_DEFAULTS, traceTiers } from "@fellmark/tiers";
import type { LayerFacts, LayerRaster } from "../layer-raster.ts";
import { type LayerClassKind, listLayerClasses } from "../look/layer-classes.ts";

/** Ground area of one class of a layer, the exact sum of its cells. */
export interface LayerArea {
  class: LayerClassKind;
  plan: string | null;
  downMbps: number | null;
  upMbps: number | null;
  areaKm2: number;
  /** Share of the layer's area, 0 to 1. */
  share: number;
}

/** Areas of every class, those that do not occur too, in the order of the legend. */
export function listLayerAreas({ plans, levels: [{ window, classes }] }: LayerRaster): LayerArea[] {
  const areas = computeTierAreas(window, classes);
  return listLayerClasses(plans).map(({ value, kind, plan }) => ({
    class: kind,
    plan: plan?.id ?? null,
    downMbps: plan?.downMbps ?? null,
    upMbps: plan?.upMbps ?? null,
    areaKm2: Math.round(areas[value].areaM2) / 1e6,
    share: areas[value].share,
  }));
}

/** Share of the layer's area where the elevation is not known. */
export function computeNotKnownShare({ levels: [{ window, classes }] }: LayerRaster): number {
  return computeTierAreas(window, classes)[TIER_CLASS.notKnown].share;
}

/** The areas as CSV, RFC 4180, with the dates in each line. */
export function formatAreasCsv(raster: LayerRaster, { validFrom, validUntil }: LayerFacts): string {
  const rows = listLayerAreas(raster).map((area) => [
    ...[area.class, area.plan, area.downMbps, area.upMbps, area.areaKm2, area.share],
    ...[validFrom, validUntil],
  ]);
  const head = ["class", "plan", "downMbps", "upMbps", "areaKm2", "share", "validFrom", "validUntil"];
  return [head, ...rows].map((row) => `${row.map(toCell).join(",")}\r\n`).join("");
}

/** An apostrophe precedes text that a spreadsheet would run. */
function toCell(value: string | number | null): string {
  if (typeof value === "number") return String(value);
  const text = value ?? "";
  const safe = /^[=+\-@\t\r\uff1d\uff0b\uff0d\uff20|]/.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/** The areas as polygons, RFC 7946, with the layer's facts as foreign members (section 6.1). */
export function buildAreasGeojson(raster: LayerRaster, facts: LayerFacts): TierCollection & LayerFacts {
  const [{ window, classes }] = raster.levels;
  const { simplifyCells } = TRACE_DEFAULTS;
  const { collection } = traceTiers(window, classes, { plans: raster.plans, speckAreaM2: 0, simplifyCells });
  return { ...facts, ...collection };
}
