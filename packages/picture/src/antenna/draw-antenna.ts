import type { Drawing, Mark } from "../display-list.ts";
import { fitText, toPlainText } from "../fit-text.ts";
import { renderSvg } from "../svg-drawing.ts";
import type { AntennaToDraw } from "./antenna-to-draw.ts";
import { CURVE_LOOKS, drawPolarPlot, PLOT_RADIUS_PX } from "./polar-plot.ts";

const WIDTH_PX = 900;
const LEFT_PX = 40;
const LINE_PX = WIDTH_PX - 2 * LEFT_PX;
const PLOT_CENTRES_PX = [235, 665];
const PLOT_CENTRE_Y = 325;
const TABLE_TOP = PLOT_CENTRE_Y + PLOT_RADIUS_PX + 65;
const ROW_PX = 19;
const INDENT_PX = 16;
/** Right edge of the first column of values, and the distance to the next. */
const COLUMN = { firstPx: 360, stepPx: 250 };
/** Characters that the head of a column, and the legend, have room for. */
const LONGEST_HEAD = 30;
const LONGEST_NAME = 80;
const LETTERS = { kind: "text", sizePx: 13, ink: "ink" } as const;

/**
 * Cuts through one or two antennas as polar plots, with a table of their parameters, as a whole SVG. The same antennas
 * have the same bytes.
 */
export function renderAntennaSvg(antenna: AntennaToDraw): string {
  return renderSvg(drawAntenna(antenna));
}

function drawAntenna({ title, names, planes, outerDbi, table, notes }: AntennaToDraw): Drawing {
  const [head, ...rows] = table;
  const shown = [[head[0], ...names.map((name) => shortenName(name, LONGEST_HEAD))], ...rows];
  return {
    widthPx: WIDTH_PX,
    heightPx: TABLE_TOP + (shown.length + notes.length) * ROW_PX + 30,
    title,
    marks: [
      { ...LETTERS, x: LEFT_PX, y: 40, text: title, sizePx: 19, weight: "bold" },
      ...names.flatMap(drawLegend),
      ...planes.flatMap((plane, index) => {
        return drawPolarPlot(plane, outerDbi, { x: PLOT_CENTRES_PX[index], y: PLOT_CENTRE_Y });
      }),
      ...shown.flatMap(drawRow),
      ...notes.map((note, index): Mark => {
        const y = TABLE_TOP + (shown.length + index) * ROW_PX + 8;
        return {
          ...LETTERS,
          x: LEFT_PX,
          y,
          text: fitText(note, LINE_PX, { sizePx: 11.5 }),
          sizePx: 11.5,
          ink: "faint",
        };
      }),
    ],
  };
}

function drawLegend(name: string, index: number): Mark[] {
  const { words, ...look } = CURVE_LOOKS[index];
  const y = 66 + index * 20;
  return [
    { kind: "path", lines: [[LEFT_PX, y - 4, LEFT_PX + 40, y - 4]], ...look },
    { ...LETTERS, x: LEFT_PX + 50, y, text: `${shortenName(name, LONGEST_NAME)} (${words})` },
  ];
}

function drawRow(cells: readonly string[], index: number): Mark[] {
  const y = TABLE_TOP + index * ROW_PX;
  const weight = index === 0 ? "bold" : "normal";
  return [
    { kind: "path", lines: [[LEFT_PX, y + 5, WIDTH_PX - LEFT_PX, y + 5]], stroke: "grid", widthPx: 1 },
    ...cells.map((cell, column): Mark => {
      const isLabel = column === 0;
      const x = isLabel ? LEFT_PX + (cell.startsWith(" ") ? INDENT_PX : 0) : COLUMN.firstPx + column * COLUMN.stepPx;
      return { ...LETTERS, x, y, text: cell.trim(), weight, anchor: isLabel ? "start" : "end" };
    }),
  ];
}

/** One line of plain text that keeps both ends of a name, where names tend to differ. */
function shortenName(name: string, longest: number): string {
  const characters = Array.from(toPlainText(name));
  if (characters.length <= longest) return characters.join("");
  const head = Math.ceil((longest - 1) / 2);
  return `${characters.slice(0, head).join("")}…${characters.slice(head + 1 - longest).join("")}`;
}
