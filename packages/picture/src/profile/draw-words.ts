import type { Mark } from "../display-list.ts";
import { fitText, measureTextPx } from "../fit-text.ts";
import { DOT_RADIUS_PX } from "./draw-ground.ts";
import { FREE_SHARE, LINE_LOOKS } from "./draw-path.ts";
import { computeBulgeM, computeFirstZoneRadiusM, hasLine, type PathShape } from "./path-shape.ts";
import { computeSteepness, PLOT, type PlotFrame } from "./plot-frame.ts";
import type { ProfileToDraw } from "./profile-to-draw.ts";

/** Widest line of words, px. */
export const LINE_PX = PLOT.right - PLOT.left;

const TITLE = { sizePx: 18, weight: "bold" } as const;
const SUBTITLE = { sizePx: 13 };
const END = { sizePx: 12.5, weight: "bold" } as const;
const SMALL = { sizePx: 12 };

/** Baselines, px from the top. */
const TITLE_Y = 30;
const SUBTITLE_Y = 50;
const ENDS_Y = 82;

/** Of the key, and of the note under it, px from where they begin. */
const KEY_Y = 14;
const NOTE_Y = 34;

/** Height of key and note. */
export const KEY_PX = 40;

/** Title and subtitle, and over the plot's corners the names of mast and CPE. */
export function drawHead({ title, subtitle, mast, cpe }: ProfileToDraw): Mark[] {
  const endText = ({ label, heightAglM }: { label: string; heightAglM: number }) => {
    const height = `, ${formatMetres(heightAglM)} above ground`;
    return fitText(label, LINE_PX / 2 - 20 - measureTextPx(height, END), END) + height;
  };
  const words = { kind: "text", x: PLOT.left, ink: "ink" } as const;
  return [
    { ...words, ...TITLE, y: TITLE_Y, text: fitText(title, LINE_PX, TITLE) },
    { ...words, ...SUBTITLE, y: SUBTITLE_Y, text: fitText(subtitle, LINE_PX, SUBTITLE), ink: "faint" },
    { ...words, ...END, y: ENDS_Y, text: endText(mast) },
    { ...words, ...END, y: ENDS_Y, x: PLOT.right, text: endText(cpe), anchor: "end" },
  ];
}

/** Key of the lines, and below it the figures of the zone and the Earth bulge at mid-path. */
export function drawKey(profile: ProfileToDraw, shape: PathShape, frame: PlotFrame | null, top: number): Mark[] {
  const marks: Mark[] = [];
  let x = PLOT.left;
  for (const { sample, words } of listKeyEntries(profile, shape)) {
    marks.push(...sample.map((draw) => draw(x, top + KEY_Y - 4)));
    const textX = x + (sample.length > 0 ? SAMPLE_PX + 7 : 0);
    marks.push({ kind: "text", ...SMALL, x: textX, y: top + KEY_Y, text: words, ink: "ink" });
    x = textX + measureTextPx(words, SMALL) + 22;
  }
  return [
    ...marks,
    { kind: "text", ...SMALL, x: PLOT.left, y: top + NOTE_Y, text: buildNote(profile, shape, frame), ink: "faint" },
  ];
}

const SAMPLE_PX = 30;

const FREE_WORDS = `${100 * FREE_SHARE} % of it`;

interface KeyEntry {
  /** Marks of a sample whose left middle lies at (x, y). */
  sample: ((x: number, y: number) => Mark)[];
  words: string;
}

function listKeyEntries({ clutterHeightM, groundAmslM }: ProfileToDraw, shape: PathShape): KeyEntry[] {
  const stroke = (look: { stroke: "ink" | "zone"; widthPx: number; dash?: number[] }) => (x: number, y: number) =>
    ({ kind: "path", lines: [[x, y, x + SAMPLE_PX, y]], ...look }) satisfies Mark;
  const line: KeyEntry[] = [
    { sample: [stroke(LINE_LOOKS.line)], words: "line of sight" },
    { sample: [stroke(LINE_LOOKS.zone)], words: "first Fresnel zone" },
    { sample: [stroke(LINE_LOOKS.free)], words: FREE_WORDS },
  ];
  const noLine: KeyEntry[] = [{ sample: [], words: "no line: ground under an antenna not known" }];
  return [
    ...(hasLine(shape) ? line : noLine),
    { sample: [drawHatchSample, drawGroundSample], words: `ground${describeKnown(groundAmslM)}` },
    buildClutterEntry(clutterHeightM),
  ];
}

function buildClutterEntry(clutterHeightM: ProfileToDraw["clutterHeightM"]): KeyEntry {
  const words = "trees or buildings";
  if (clutterHeightM === null) return { sample: [], words: `${words}: not known` };
  const isBare = clutterHeightM.every((heightM) => heightM === 0);
  return isBare
    ? { sample: [], words: `no ${words}` }
    : { sample: [drawDotsSample], words: words + describeKnown(clutterHeightM) };
}

function describeKnown(values: readonly (number | null)[]): string {
  const known = values.filter((value) => value !== null).length;
  if (known === values.length) return "";
  return known === 0 ? ": not known" : ", part not known";
}

function drawGroundSample(x: number, y: number): Mark {
  return { kind: "path", lines: [[x, y - 4, x + SAMPLE_PX, y - 4]], stroke: "ground", widthPx: 1.8 };
}

function drawHatchSample(x: number, y: number): Mark {
  const lines = [2, 11, 20].map((at) => [x + at, y + 5, x + at + 9, y - 4]);
  return { kind: "path", lines, stroke: "hatch", widthPx: 1 };
}

function drawDotsSample(x: number, y: number): Mark {
  const centres = Array.from({ length: 16 }, (_, dot) => [
    x + 4 * (dot >> 1),
    y + 3 - 4 * (dot % 2) - ((dot >> 1) % 2) * 2,
  ]);
  return { kind: "dots", centres: centres.flat(), radiusPx: DOT_RADIUS_PX, fill: "growth" };
}

function buildNote(profile: ProfileToDraw, { lengthM }: PathShape, frame: PlotFrame | null): string {
  const { frequencyGhz, effectiveEarthRadiusM } = profile;
  const halfM = lengthM / 2;
  const radiusM = computeFirstZoneRadiusM(halfM, halfM, frequencyGhz);
  const zone = `first Fresnel zone ${formatTenths(radiusM)} m, ${FREE_WORDS} ${formatTenths(FREE_SHARE * radiusM)} m`;
  const bulge = `Earth bulge ${formatTenths(computeBulgeM(halfM, halfM, effectiveEarthRadiusM))} m (included)`;
  const stretched = frame ? `; heights stretched ${Number(computeSteepness(frame).toPrecision(2))} times` : "";
  return `At mid-path, ${Number(frequencyGhz.toPrecision(4))} GHz: ${zone}; ${bulge}${stretched}`;
}

export function formatTenths(value: number): string {
  return (Math.round(10 * value) / 10 + 0).toFixed(1);
}

/** Whole metres, or tenths where there are any: 30 m, 7.5 m. */
function formatMetres(valueM: number): string {
  return `${Math.round(10 * valueM) / 10 + 0} m`;
}
