import { fitCalibration, type OwnDataCalibration } from "@fellmark/calibration";
import type { MeasuredRow } from "@fellmark/network";
import type { AnsweringNetwork } from "./answering-network.ts";
import { predictLinks, type RejectedRow } from "./measured-links.ts";

/** Calibration by a provider's own measured links. Put `calibration` into the model to use it; null there switches it off. */
export interface CalibrationReport {
  version: 1;
  calibration: OwnDataCalibration;
  /** Rows that went into the fit, and those that could not, by row. */
  links: number;
  rejected: RejectedRow[];
}

/** @param now rows measured later are refused, ms since 1970. */
export async function fitOwnCalibration(
  network: AnsweringNetwork,
  rows: readonly MeasuredRow[],
  now: number,
): Promise<CalibrationReport> {
  const predicted = await predictLinks(network, rows);
  const { calibration, rejected } = fitCalibration(predicted.links, { nowMs: now });
  const refused = rejected.map(({ row, id, field, reason }) => ({
    row: predicted.rowOf[row],
    id,
    field: ROW_FIELDS[field] ?? field,
    reason,
  }));
  const all = [...predicted.rejected, ...refused].sort((a, b) => a.row - b.row);
  return { version: 1, calibration, links: rows.length - all.length, rejected: all };
}

/** Fields of the fit that have other names in the rows. */
const ROW_FIELDS: Readonly<Record<string, string>> = {
  measuredDbm: "signalDbm",
  predictedDbm: "signalDbm",
  atMs: "measuredAt",
  distanceM: "lon",
};
