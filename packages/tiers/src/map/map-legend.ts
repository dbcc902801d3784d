import { type DrawingContext, type Rgb, toCanvasFont, toCss } from "@fellmark/picture";
import { TIER_CLASS, type TierPlan } from "../tier-class.ts";
import type { TierArea } from "../trace/tier-areas.ts";
import { FLAT, INK, type MapColours, PAPER, WARNING } from "./map-colours.ts";

/** Width of the page in its own units, in which all sizes here are given; a wider picture has larger letters. */
export const PAGE_WIDTH = 1000;
export const TITLE_HEIGHT = 46;
const MARGIN = 18;
const ROW_HEIGHT = 26;
const HEADING_HEIGHT = 34;
const CAUTION_HEIGHT = 34;
const FACTS_HEIGHT = 20;
const SCALE_BAR_WIDTH = 270;
const SWATCH = { width: 30, height: 17 };

export interface LegendEntry {
  label: string;
  /** One colour, or two for stripes. */
  colours: Rgb[];
  /** Direction and thickness of stripes; absent: rising, 2.5 of a period of 7. */
  stripes?: { isFalling: boolean; width: number };
}

/**
 * Plans from best to last, the stripes of a survey if there are any, then no service and not known, with their shares.
 * @param areas areas by class.
 */
export function listLegendEntries(
  plans: readonly TierPlan[],
  colours: MapColours,
  { hasSurvey, areas }: { hasSurvey: boolean; areas: readonly TierArea[] },
): LegendEntry[] {
  const colourOf = (tier: number) => [colours.palette[colours.indexOf(tier, FLAT)]];
  const shareOf = (...tiers: number[]) => formatShare(tiers.reduce((sum, tier) => sum + areas[tier].share, 0));
  const surveyed = plans.map((_, index) => plans.length + index + 1);
  return [
    ...plans.map((plan, index) => ({
      label: `${plan.id}   ${plan.downMbps} / ${plan.upMbps}   ${shareOf(index + 1)}`,
      colours: colourOf(index + 1),
    })),
    ...(hasSurvey ? [buildSurveyEntry(colours, shareOf(...surveyed))] : []),
    { label: `no service   ${shareOf(TIER_CLASS.noService)}`, colours: colourOf(TIER_CLASS.noService) },
    ...(areas[TIER_CLASS.water].cells > 0
      ? [{ label: `water, no service   ${shareOf(TIER_CLASS.water)}`, colours: colourOf(TIER_CLASS.water) }]
      : []),
    {
      label: `not known   ${shareOf(TIER_CLASS.notKnown)}`,
      colours: colours.hatch.map((index) => colours.palette[index]),
    },
  ];
}

function formatShare(share: number): string {
  return `${(100 * share).toFixed(1)} %`;
}

function buildSurveyEntry(colours: MapColours, share: string): LegendEntry {
  const [ground, plan] = [colours.groundIndex(FLAT), colours.indexOf(1, FLAT)];
  return {
    label: `survey first: clutter not known   ${share}`,
    colours: [colours.palette[ground], colours.palette[plan]],
    stripes: { isFalling: true, width: 3 },
  };
}

interface Legend {
  entries: LegendEntry[];
  columns: number;
  columnWidth: number;
  height: number;
}

/** Fits the legend under the map, beside the scale bar. */
export function layOutLegend(context: DrawingContext, entries: LegendEntry[]): Legend {
  context.font = toCanvasFont(14);
  const widest = Math.max(...entries.map((entry) => context.measureText(entry.label).width));
  const columnWidth = widest + SWATCH.width + 28;
  const columns = Math.max(1, Math.floor((PAGE_WIDTH - SCALE_BAR_WIDTH - MARGIN) / columnWidth));
  const rows = Math.ceil(entries.length / columns);
  return {
    entries,
    columns,
    columnWidth,
    height: HEADING_HEIGHT + rows * ROW_HEIGHT + CAUTION_HEIGHT + FACTS_HEIGHT + 8,
  };
}

export function drawTitle(context: DrawingContext, title: string): void {
  context.fillStyle = toCss(INK);
  context.font = toCanvasFont(19, "bold");
  context.textBaseline = "middle";
  context.fillText(title, MARGIN, TITLE_HEIGHT / 2 + 1, PAGE_WIDTH - 2 * MARGIN);
}

interface LegendWords {
  heading: string;
  caution: string;
  facts: string;
}

/** Draws heading, entries column by column, caution and facts, from the origin down. */
export function drawLegend(context: DrawingContext, legend: Legend, { heading, caution, facts }: LegendWords): void {
  context.textBaseline = "middle";
  context.fillStyle = toCss(INK);
  context.font = toCanvasFont(13, "bold");
  context.fillText(heading, MARGIN, HEADING_HEIGHT / 2 + 3);
  const rows = Math.ceil(legend.entries.length / legend.columns);
  for (const [index, entry] of legend.entries.entries()) {
    const x = MARGIN + Math.floor(index / rows) * legend.columnWidth;
    const y = HEADING_HEIGHT + (index % rows) * ROW_HEIGHT + ROW_HEIGHT / 2;
    drawSwatch(context, entry, x, y - SWATCH.height / 2);
    context.fillStyle = toCss(INK);
    context.font = toCanvasFont(14);
    context.fillText(entry.label, x + SWATCH.width + 9, y);
  }
  context.fillStyle = toCss(WARNING);
  context.font = toCanvasFont(14, "bold");
  const mostWide = PAGE_WIDTH - 2 * MARGIN;
  context.fillText(caution, MARGIN, legend.height - FACTS_HEIGHT - CAUTION_HEIGHT / 2 - 2, mostWide);
  context.fillStyle = toCss(INK);
  context.font = toCanvasFont(11);
  context.fillText(facts, MARGIN, legend.height - FACTS_HEIGHT / 2 - 5, mostWide);
}

function drawSwatch(context: DrawingContext, { colours, stripes }: LegendEntry, x: number, y: number): void {
  context.fillStyle = toCss(colours[0]);
  context.fillRect(x, y, SWATCH.width, SWATCH.height);
  if (colours.length > 1) {
    context.save();
    context.beginPath();
    context.rect(x, y, SWATCH.width, SWATCH.height);
    context.clip();
    context.strokeStyle = toCss(colours[1]);
    context.lineWidth = stripes?.width ?? 2.5;
    const [from, to] = stripes?.isFalling ? [y, y + SWATCH.height] : [y + SWATCH.height, y];
    for (let shift = -SWATCH.height; shift < SWATCH.width; shift += 7) {
      context.beginPath();
      context.moveTo(x + shift, from);
      context.lineTo(x + shift + SWATCH.height, to);
      context.stroke();
    }
    context.restore();
  }
  context.strokeStyle = toCss(INK);
  context.lineWidth = 1;
  context.strokeRect(x + 0.5, y + 0.5, SWATCH.width - 1, SWATCH.height - 1);
}

/** Draws a bar of a round ground length under the map's right corner; `metresPerUnit` holds at the map's centre. */
export function drawScaleBar(context: DrawingContext, metresPerUnit: number): void {
  const lengthM = roundLengthM(metresPerUnit * (SCALE_BAR_WIDTH - 60));
  const length = lengthM / metresPerUnit;
  const right = PAGE_WIDTH - MARGIN;
  const left = right - length;
  const y = HEADING_HEIGHT + 12;
  context.lineWidth = 1.5;
  for (let part = 0; part < 4; part++) {
    context.fillStyle = toCss(part % 2 === 0 ? INK : PAPER);
    context.fillRect(left + (part * length) / 4, y, length / 4, 7);
  }
  context.strokeStyle = toCss(INK);
  context.strokeRect(left, y, length, 7);
  context.fillStyle = toCss(INK);
  context.font = toCanvasFont(13);
  context.textBaseline = "alphabetic";
  context.fillText("0", left - 4, y - 6);
  const label = lengthM >= 1000 ? `${lengthM / 1000} km` : `${lengthM} m`;
  context.textAlign = "right";
  context.fillText(label, right, y - 6);
  context.textAlign = "left";
}

/** The greatest 1, 2 or 5 times a power of ten that is no more than `mostM`. */
export function roundLengthM(mostM: number): number {
  const power = 10 ** Math.floor(Math.log10(mostM));
  const factor = [5, 2, 1].find((step) => step * power <= mostM) ?? 1;
  return factor * power;
}
