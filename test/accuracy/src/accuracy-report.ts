import { fitCalibration } from "@fellmark/calibration";
import { type ErrorStatistics, errorStatistics } from "./error-statistics.ts";
import { CALIBRATED_MODEL, LOSS_MODELS, type Prediction } from "./loss-models.ts";
import type { MeasuredLink } from "./measured-links.ts";
import { BLOCK_M, bySquares, leftOutCalibrationsDb, oneByOne, ownLinks } from "./own-links.ts";

export interface AccuracyReport {
  version: 1;
  models: ({ model: string; group: string } & ErrorStatistics)[];
  links: { id: string; measuredDb: number; predictedDb: Record<string, number> }[];
  skipped: { id: string; model: string; reason: string }[];
  /** What own data did for each group. */
  calibrations: GroupCalibration[];
}

export interface GroupCalibration {
  group: string;
  /** Of the fit to all links of the group. */
  version: string;
  applied: boolean;
  reason: string;
  /** Had it been applied to left-out links whether or not it helps, dB; null where links are too few. */
  forcedRmseDb: number | null;
  /** Links that cannot be as they are told, and so taught nothing. */
  rejected: { id: string; reason: string }[];
  /** Errors with every square of ground left out in turn; null where squares are too few or not known. */
  bySquares: ({ blockM: number } & ErrorStatistics) | null;
}

/** A link, its group and what the models say of it. */
interface Judged {
  link: MeasuredLink;
  group: string;
  predictions: Record<string, Prediction>;
}

/** Every model against every link; a group is what stands before the dash in the ids. */
export function accuracyReport(measured: readonly MeasuredLink[]): AccuracyReport {
  const judged = measured.map((link) => {
    const predictions = Object.entries(LOSS_MODELS).map(([model, predict]) => [model, predict(link)]);
    return { link, group: link.id.split("-")[0], predictions: Object.fromEntries(predictions) };
  });
  const groups = [...new Set(judged.map(({ group }) => group))];
  const calibrations = groups.flatMap((group) => correctGroup(judged.filter((one) => one.group === group)));
  return {
    version: 1,
    models: statisticsOf(judged, groups),
    links: judged.map(({ link, predictions }) => ({
      id: link.id,
      measuredDb: link.measuredLossDb,
      predictedDb: lossesOf(predictions),
    })),
    skipped: judged.flatMap(({ link, predictions }) => skippedOf(link.id, predictions)),
    calibrations,
  };
}

/** Adds the model "calibrated" to the links of one group: each as if it alone had not been measured yet. */
function correctGroup(group: readonly Judged[]): GroupCalibration[] {
  const predicted = group.flatMap(({ link, predictions }) => {
    const prediction = predictions[CALIBRATED_MODEL];
    predictions.calibrated = prediction;
    return "lossDb" in prediction ? [{ link, lossDb: prediction.lossDb, predictions }] : [];
  });
  if (predicted.length === 0) return [];
  const own = ownLinks(predicted);
  const calibratedDb = (partOf: readonly number[]) =>
    leftOutCalibrationsDb(own.rows, partOf).map((calibration, row) => predicted[row].lossDb + calibration);
  calibratedDb(oneByOne(own.rows)).forEach((lossDb, row) => {
    predicted[row].predictions.calibrated = { lossDb };
  });
  const squares = bySquares(own);
  const errors = (lossesDb: number[]) => lossesDb.map((lossDb, row) => lossDb - predicted[row].link.measuredLossDb);
  const { calibration, rejected } = fitCalibration(own.rows, { blockM: BLOCK_M });
  const { version, validation } = calibration;
  return [
    {
      group: group[0].group,
      version,
      applied: validation.applied,
      reason: validation.reason,
      forcedRmseDb: validation.leaveOneOut?.afterRmseDb ?? null,
      rejected: rejected.map(({ row, field, reason }) => ({
        id: predicted[row].link.id,
        reason: `${field} ${reason}`,
      })),
      bySquares: squares && { blockM: BLOCK_M, ...errorStatistics(errors(calibratedDb(squares))) },
    },
  ];
}

function lossesOf(predictions: Record<string, Prediction>): Record<string, number> {
  const losses = Object.entries(predictions).flatMap(([model, one]) => ("lossDb" in one ? [[model, one.lossDb]] : []));
  return Object.fromEntries(losses);
}

function skippedOf(id: string, predictions: Record<string, Prediction>): AccuracyReport["skipped"] {
  return Object.entries(predictions).flatMap(([model, one]) =>
    "skipped" in one ? [{ id, model, reason: one.skipped }] : [],
  );
}

function statisticsOf(judged: readonly Judged[], groups: readonly string[]): AccuracyReport["models"] {
  return [...Object.keys(LOSS_MODELS), "calibrated"].flatMap((model) =>
    groups.flatMap((group) => {
      const errorsDb = judged.flatMap(({ link, group: own, predictions }) => {
        const prediction = predictions[model];
        return own === group && "lossDb" in prediction ? [prediction.lossDb - link.measuredLossDb] : [];
      });
      return errorsDb.length === 0 ? [] : [{ model, group, ...errorStatistics(errorsDb) }];
    }),
  );
}
