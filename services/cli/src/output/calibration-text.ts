import type { Reply } from "@fellmark/compute";
import { formatColumns } from "./columns.ts";

type Report = Reply<"calibration">;
type HeldOut = Report["calibration"]["validation"]["leaveOneOut"];

/** Rows left out that are printed; the file holds all. */
const PRINTED_ROWS = 20;

/** Formats a calibration: whether it helps and why, its figures, its error on left-out links, rows left out. */
export function formatCalibration({ calibration, links, rejected }: Report): string {
  const { version, validation, influenceDb } = calibration;
  const verdict = validation.applied ? "APPLIED" : "NOT APPLIED";
  return [
    `${verdict}: ${validation.reason}\n  calibration ${version} from ${links} links; no single link moves a prediction by more than ${influenceDb.toFixed(1)} dB`,
    ...(links > 0 ? [formatClasses(calibration), formatSectors(calibration)] : []),
    ...formatHeldOut(validation),
    ...formatRejected(rejected),
    validation.applied
      ? 'To use it, put "calibration" of the file into model.calibration of the network; null there switches it off.'
      : "The model stays as it is. Measure more links.",
  ].join("\n\n");
}

function formatClasses({ classes, referenceKm }: Report["calibration"]): string {
  const rows = Object.entries(classes).map(([name, { links, offsetDb, slopeDbPerDecade, sigmaDb }]) => [
    name,
    `${links}`,
    formatSigned(offsetDb),
    formatSigned(slopeDbPerDecade),
    sigmaDb === null ? "too few links" : sigmaDb.toFixed(1),
  ]);
  const heads = [
    "path",
    "links",
    `added loss at ${referenceKm.toFixed(1)} km, dB`,
    "per decade of distance, dB",
    "spread, dB",
  ];
  return formatColumns([heads, ...rows]);
}

function formatSectors({ sectors }: Report["calibration"]): string {
  const rows = Object.entries(sectors).map(([sector, { links, biasDb }]) => [sector, `${links}`, formatSigned(biasDb)]);
  return formatColumns([["sector", "links", "added loss, dB"], ...rows]);
}

function formatHeldOut({ leaveOneOut, blocks }: Report["calibration"]["validation"]): string[] {
  const row = (name: string, heldOut: HeldOut) =>
    heldOut ? [[name, heldOut.beforeRmseDb.toFixed(1), heldOut.afterRmseDb.toFixed(1)]] : [];
  const named = blocks ? `left out by squares of ${blocks.blockM} m` : "";
  const rows = [...row("left out one by one", leaveOneOut), ...row(named, blocks)];
  return rows.length === 0 ? [] : [formatColumns([["error on left-out links, dB RMSE", "without", "with"], ...rows])];
}

function formatRejected(rejected: Report["rejected"]): string[] {
  if (rejected.length === 0) return [];
  const rows = rejected
    .slice(0, PRINTED_ROWS)
    .map(({ row, id, field, reason }) => [`${row}`, id.slice(0, 40), field, reason]);
  const more = rejected.length > PRINTED_ROWS ? `\nand ${rejected.length - PRINTED_ROWS} more` : "";
  return [`${formatColumns([["row left out", "id", "field", "reason"], ...rows])}${more}`];
}

function formatSigned(db: number): string {
  return `${db < 0 ? "" : "+"}${db.toFixed(1)}`;
}
