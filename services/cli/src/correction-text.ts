import type { Reply } from "@fellmark/compute";
import { columns } from "./summary-table.ts";

type Report = Reply<"calibration">;
type HeldOut = Report["calibration"]["validation"]["leaveOneOut"];

/** Rows left out that are printed; the file holds all. */
const PRINTED_ROWS = 20;

/** A calibration as a planner reads it: whether it counts and why, what it adds, how it fared, what was left out. */
export function calibrationText({ calibration, links, rejected }: Report): string {
  const { version, validation, influenceDb } = calibration;
  const verdict = validation.applied ? "APPLIED" : "NOT APPLIED";
  return [
    `${verdict}: ${validation.reason}\n  calibration ${version} from ${links} links; no single link moves a prediction by more than ${influenceDb.toFixed(1)} dB`,
    ...(links > 0 ? [classTable(calibration), sectorTable(calibration)] : []),
    ...heldOutTable(validation),
    ...rejectedTable(rejected),
    validation.applied
      ? "Put `calibration` of the file into model.calibration of the network to use it; null there switches it off."
      : "It adds nothing as it is: measure more links.",
  ].join("\n\n");
}

function classTable({ classes, referenceKm }: Report["calibration"]): string {
  const rows = Object.entries(classes).map(([name, { links, offsetDb, slopeDbPerDecade, sigmaDb }]) => [
    name,
    `${links}`,
    signed(offsetDb),
    signed(slopeDbPerDecade),
    sigmaDb === null ? "too few links" : sigmaDb.toFixed(1),
  ]);
  const heads = [
    "path",
    "links",
    `more loss at ${referenceKm.toFixed(1)} km, dB`,
    "a decade of distance, dB",
    "spread, dB",
  ];
  return columns([heads, ...rows]);
}

function sectorTable({ sectors }: Report["calibration"]): string {
  const rows = Object.entries(sectors).map(([sector, { links, biasDb }]) => [sector, `${links}`, signed(biasDb)]);
  return columns([["sector", "links", "more loss, dB"], ...rows]);
}

function heldOutTable({ leaveOneOut, blocks }: Report["calibration"]["validation"]): string[] {
  const row = (name: string, heldOut: HeldOut) =>
    heldOut ? [[name, heldOut.beforeRmseDb.toFixed(1), heldOut.afterRmseDb.toFixed(1)]] : [];
  const named = blocks ? `squares of ${blocks.blockM} m left out` : "";
  const rows = [...row("links left out one by one", leaveOneOut), ...row(named, blocks)];
  return rows.length === 0 ? [] : [columns([["error, dB RMSE", "without", "with"], ...rows])];
}

function rejectedTable(rejected: Report["rejected"]): string[] {
  if (rejected.length === 0) return [];
  const rows = rejected
    .slice(0, PRINTED_ROWS)
    .map(({ row, id, field, reason }) => [`${row}`, printable(id), field, reason]);
  const more = rejected.length > PRINTED_ROWS ? `\nand ${rejected.length - PRINTED_ROWS} more` : "";
  return [`${columns([["row left out", "id", "field", "why"], ...rows])}${more}`];
}

/** An id of somebody's table, safe for a terminal. */
function printable(id: string): string {
  return id.replaceAll(/\P{L}/gu, (char) => (/[\p{N} ._-]/u.test(char) ? char : "?")).slice(0, 40);
}

function signed(db: number): string {
  return `${db < 0 ? "" : "+"}${db.toFixed(1)}`;
}
