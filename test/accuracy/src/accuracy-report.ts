import { type ErrorStatistics, errorStatistics } from "./error-statistics.ts";
import { LOSS_MODELS } from "./loss-models.ts";
import type { MeasuredLink } from "./measured-links.ts";

export interface AccuracyReport {
  version: 1;
  models: ({ model: string; group: string } & ErrorStatistics)[];
  links: { id: string; measuredDb: number; predictedDb: Record<string, number> }[];
  skipped: { id: string; model: string; reason: string }[];
}

/** Every model against every link; a group is what stands before the dash in the ids. */
export function accuracyReport(measured: readonly MeasuredLink[]): AccuracyReport {
  const links: AccuracyReport["links"] = [];
  const skipped: AccuracyReport["skipped"] = [];
  for (const link of measured) {
    const predictedDb: Record<string, number> = {};
    for (const [model, predict] of Object.entries(LOSS_MODELS)) {
      const prediction = predict(link);
      if ("lossDb" in prediction) predictedDb[model] = prediction.lossDb;
      else skipped.push({ id: link.id, model, reason: prediction.skipped });
    }
    links.push({ id: link.id, measuredDb: link.measuredLossDb, predictedDb });
  }
  return { version: 1, models: statisticsOf(links), links, skipped };
}

function statisticsOf(links: AccuracyReport["links"]): AccuracyReport["models"] {
  const groupOf = (id: string) => id.split("-")[0];
  const groups = new Set(links.map((link) => groupOf(link.id)));
  return Object.keys(LOSS_MODELS).flatMap((model) =>
    [...groups].flatMap((group) => {
      const predicted = links.filter((link) => groupOf(link.id) === group && model in link.predictedDb);
      if (predicted.length === 0) return [];
      const errorsDb = predicted.map((link) => link.predictedDb[model] - link.measuredDb);
      return [{ model, group, ...errorStatistics(errorsDb) }];
    }),
  );
}

/** The report as lines for a reader. */
export function accuracyLines(report: AccuracyReport): string[] {
  const line = (cells: readonly string[]) =>
    cells.map((cell, i) => (i < 2 ? cell.padEnd(18) : cell.padStart(8))).join("");
  const rows = report.models.map(({ model, group, n, meanDb, stdDb, rmseDb, p90AbsDb }) =>
    line([model, group, String(n), ...[meanDb, stdDb, rmseDb, p90AbsDb].map((db) => db.toFixed(2))]),
  );
  const reasons = report.skipped.map(({ model, reason }) => `${model}: ${reason}`);
  const notes = [...new Set(reasons)].map(
    (reason) => `skipped ${reasons.filter((other) => other === reason).length} links with ${reason}`,
  );
  const head = line(["model", "group", "n", "mean", "std", "rmse", "p90 abs"]);
  return ["error = predicted - measured, dB", head, ...rows, ...notes];
}
