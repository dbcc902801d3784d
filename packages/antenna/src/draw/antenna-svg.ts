import type { AntennaParameters } from "../measure/measure-antenna.ts";
import { createAzimuthCut, createElevationCut } from "../measure/plane-cuts.ts";
import type { AntennaPattern, Port } from "../pattern.ts";
import { efficiencyRefusals, measureTable } from "./measure-table.ts";
import { PLOT_RADIUS, type PolarPlot, polarPlot } from "./polar-plot.ts";

export interface DrawnAntenna {
  name: string;
  /** At the first frequency of the measures. */
  pattern: AntennaPattern;
  parameters: AntennaParameters;
}

/** Dark blue and burnt orange differ for every kind of sight, and in grey; the dash tells them apart without either. */
const STROKES = [
  { stroke: "#12486b", dash: "none", words: "solid line" },
  { stroke: "#b4530f", dash: "7 4", words: "dashed line" },
];
const DRAWN_PORT: Port = 1;
const WIDTH = 900;
const PLOT_CENTRE_Y = 325;
const ROW_HEIGHT = 19;
/** Characters that a column of the table, and the legend, have room for. */
const LONGEST_HEAD = 30;
const LONGEST_NAME = 80;
const TABLE_TOP = PLOT_CENTRE_Y + PLOT_RADIUS + 65;

/** Both cuts through the peak of one or two antennas as polar plots with a table of their measures: a whole SVG. */
export function antennaSvg(antennas: readonly DrawnAntenna[]): string {
  const frequenciesGhz = antennas[0].parameters.atFrequency.map(({ frequencyGhz }) => frequencyGhz);
  const title = `Antenna at ${frequenciesGhz[0]} GHz, vertical or -45 port`;
  const notes = antennas.flatMap(({ name, parameters }) =>
    efficiencyRefusals(parameters).map((why) => `${shortened(name, LONGEST_HEAD)}: ${why}`),
  );
  const rows = [
    [`both ports at ${bandText(frequenciesGhz)} GHz`, ...antennas.map(({ name }) => shortened(name, LONGEST_HEAD))],
    ...measureTable(antennas.map(({ parameters }) => parameters)),
  ];
  const height = TABLE_TOP + (rows.length + notes.length) * ROW_HEIGHT + 30;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${height}" width="${WIDTH}" height="${height}">`,
    `<style>${STYLE}</style><rect width="${WIDTH}" height="${height}" fill="#fcfbf7"/>`,
    `<text class="head" x="40" y="40">${title}</text>`,
    ...antennas.map(legend),
    plotAt(235, planePlot("Around, at the peak's elevation", "up-clockwise", antennas)),
    plotAt(665, planePlot("Up and down, at the peak's azimuth", "right-anticlockwise", antennas)),
    ...rows.map(tableRow),
    ...notes.map((note, index) => {
      const y = TABLE_TOP + (rows.length + index) * ROW_HEIGHT + 8;
      return `<text class="label" x="40" y="${y}">No beam efficiency of ${escapeXml(note)}</text>`;
    }),
    "</svg>\n",
  ].join("\n");
}

const STYLE = [
  "text{font-family:system-ui,sans-serif;font-size:13px;fill:#26323a}",
  ".head{font-size:19px;font-weight:600}.title{font-size:14px;font-weight:600}",
  ".label{font-size:11.5px;fill:#55626b}",
  ".ring{font-size:11px;fill:#55626b;paint-order:stroke;stroke:#fcfbf7;stroke-width:4px}",
  ".grid{fill:none;stroke:#d9d6cb}.rim{fill:#fff;stroke:#8d979c}",
  ".line{fill:none;stroke-width:2;stroke-linejoin:round}",
].join("");

function plotAt(centreX: number, plot: PolarPlot): string {
  return `<g transform="translate(${centreX} ${PLOT_CENTRE_Y})">\n${polarPlot(plot)}\n</g>`;
}

function planePlot(title: string, facing: PolarPlot["facing"], antennas: readonly DrawnAntenna[]): PolarPlot {
  const strongestDbi = Math.max(...antennas.map(({ pattern }) => pattern.peakGainDbi));
  const lines = antennas.map(({ pattern, parameters }, index) => {
    const { peakAzimuthDeg, peakElevationDeg, peakGainDbi } = parameters.atFrequency[0].ports[DRAWN_PORT];
    const peak = { azimuthDeg: peakAzimuthDeg, elevationDeg: peakElevationDeg, gainDbi: peakGainDbi };
    const isAround = facing === "up-clockwise";
    const cut = (isAround ? createAzimuthCut : createElevationCut)(pattern, DRAWN_PORT, peak);
    const zeroDeg = isAround ? peakAzimuthDeg : peakElevationDeg;
    return { ...STROKES[index], gainDbi: (angleDeg: number) => cut(angleDeg - zeroDeg) };
  });
  return { title, facing, lines, outerDbi: 10 * Math.ceil(strongestDbi / 10) };
}

function legend({ name }: DrawnAntenna, index: number): string {
  const { stroke, dash, words } = STROKES[index];
  const y = 66 + index * 20;
  const sample = `<path class="line" stroke="${stroke}" stroke-dasharray="${dash}" d="M40 ${y - 4}h40"/>`;
  return `${sample}<text x="90" y="${y}">${escapeXml(shortened(name, LONGEST_NAME))} (${words})</text>`;
}

function tableRow(cells: readonly string[], index: number): string {
  const y = TABLE_TOP + index * ROW_HEIGHT;
  const rule = `<path class="grid" d="M40 ${y + 5}H${WIDTH - 40}"/>`;
  const texts = cells.map((cell, column) => {
    const x = column === 0 ? 40 + (cell.startsWith(" ") ? 16 : 0) : 360 + column * 250;
    const anchor = column === 0 ? "start" : "end";
    const isHead = index === 0 ? ' font-weight="600"' : "";
    return `<text x="${x}" y="${y}" text-anchor="${anchor}"${isHead}>${escapeXml(cell.trim())}</text>`;
  });
  return rule + texts.join("");
}

function bandText(frequenciesGhz: readonly number[]): string {
  const [least, most] = [Math.min(...frequenciesGhz), Math.max(...frequenciesGhz)];
  return least === most ? `${least}` : `${least} to ${most}`;
}

/** Keeps both ends of a name, where names tend to differ. */
function shortened(name: string, longest: number): string {
  const characters = Array.from(name);
  if (characters.length <= longest) return name;
  const head = Math.ceil((longest - 1) / 2);
  return `${characters.slice(0, head).join("")}…${characters.slice(head + 1 - longest).join("")}`;
}

const ENTITIES: Record<string, string> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&apos;" };

/** Text for SVG; what XML cannot hold (control characters) is left out. */
function escapeXml(text: string): string {
  const printable = Array.from(text).filter((character) => character >= " ");
  return printable.map((character) => ENTITIES[character] ?? character).join("");
}
