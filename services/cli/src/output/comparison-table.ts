import type { ComparisonReport, SectorChange, SinrChange } from "@fellmark/coverage";
import { formatColumns } from "./columns.ts";
import { createUnitFormat, type Units } from "./units.ts";
import { formatWarnings, type WarningLine } from "./warning-text.ts";

/** The part of a comparison's summary.json that is printed. */
export type ComparisonSummary = ComparisonReport & { name: string; warnings: WarningLine[] };

/** Formats a comparison: area gained and lost, each sector before and after, the effect on existing customers. */
export function formatComparison(summary: ComparisonSummary, units: Units = "metric"): string {
  const { columns } = createUnitFormat(units);
  const { tiers, sectors, doNoHarm, sinrDown, sinrUp } = summary;
  const sectorHeads = ["sector", "cells served", "noise up", "capacity down / up, Mbit/s", "SINR down", "SINR up"];
  return [
    summary.name,
    columns([["plan or better", "before", "after", "gained", "lost"], ...tiers.map(toTierRow)]),
    formatColumns([sectorHeads, ...sectors.map(toSectorRow)]),
    `SINR of the cells served before and after, mean (10th to 90th percentile): down ${formatSinr(sinrDown)}, up ${formatSinr(sinrUp)}`,
    ...formatSteps(summary),
    ...formatOverlaps(summary),
    formatHarm(doNoHarm),
    ...formatWarnings(summary.warnings),
  ].join("\n\n");
}

function toTierRow({ plan, beforeKm2, afterKm2, gainedKm2, lostKm2 }: ComparisonReport["tiers"][number]): string[] {
  return [plan, ...[beforeKm2, afterKm2, gainedKm2, lostKm2].map((areaKm2) => `${areaKm2.toFixed(2)} km2`)];
}

function toSectorRow({ id, before, after, sinrDown, sinrUp }: SectorChange): string[] {
  const both = (formatState: (state: NonNullable<SectorChange["before"]>) => string) =>
    [before, after].map((state) => (state ? formatState(state) : "-")).join(" -> ");
  return [
    id,
    both(({ servedCells }) => `${servedCells}`),
    both(({ noiseUpDbm }) => `${noiseUpDbm.toFixed(1)} dBm`),
    both(({ capacity }) => `${capacity.downMbps.toFixed(0)} / ${capacity.upMbps.toFixed(0)}`),
    formatSinr(sinrDown),
    formatSinr(sinrUp),
  ];
}

function formatSinr(change: SinrChange | null): string {
  if (change === null) return "-";
  const signed = (db: number) => `${db < 0 ? "" : "+"}${db.toFixed(1)}`;
  return `${signed(change.meanDb)} dB (${signed(change.p10Db)} to ${signed(change.p90Db)})`;
}

/** Effect of each change after those before it, where it was asked for. */
function formatSteps({ steps }: ComparisonSummary): string[] {
  if (steps === null) return [];
  const heads = ["change, after those before it", "any plan gained", "lost", "SINR down", "SINR up", "harmed"];
  const rows = steps.map(({ change, kind, tiers, sinrDown, sinrUp, doNoHarm }) => {
    const cheapest = tiers.at(-1);
    return [
      `${change + 1} ${kind}`,
      `${(cheapest?.gainedKm2 ?? 0).toFixed(2)} km2`,
      `${(cheapest?.lostKm2 ?? 0).toFixed(2)} km2`,
      formatSinr(sinrDown),
      formatSinr(sinrUp),
      doNoHarm.subscribers === 0 ? "-" : `${doNoHarm.harmed.length} of ${doNoHarm.subscribers - doNoHarm.notJudged}`,
    ];
  });
  return [formatColumns([heads, ...rows])];
}

function formatOverlaps({ overlaps }: ComparisonSummary): string[] {
  if (overlaps.after.length === 0) return [];
  const [first] = overlaps.after;
  const heads = [...first.places.map(({ offDeg }) => `C/I ${offDeg} degrees off`), "cells near it with a plan"];
  const rows = overlaps.after.map(({ sectors, isSameChannel, places, ground }) => [
    sectors.join(" and "),
    isSameChannel ? "co-channel" : "two channels",
    ...places.map(({ ciDb }) => `${ciDb.toFixed(1)} dB`),
    `${ground.servedCells} of ${ground.cells}`,
  ]);
  return [formatColumns([["sectors that meet, after", "", ...heads], ...rows])];
}

function formatHarm({ passes, subscribers, notJudged, harmed }: ComparisonReport["doNoHarm"]): string {
  if (subscribers === 0) return "No subscribers in the request: the effect on existing customers was not checked.";
  const judged = subscribers - notJudged;
  const unknown =
    notJudged === 0 ? "" : ` ${notJudged} are outside the area or on unknown ground and were not checked.`;
  if (passes) return `None of ${judged} subscribers loses a plan or more than 3 dB.${unknown}`;
  const ids = harmed.map(({ subscriber }) => subscriber).join(", ");
  return `${harmed.length} of ${judged} subscribers lose a plan or more than 3 dB: ${ids}.${unknown}`;
}
