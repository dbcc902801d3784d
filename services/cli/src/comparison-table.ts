import type { ComparisonReport, SectorChange, SinrChange } from "@fellmark/coverage";
import { columns } from "./summary-table.ts";

/** What summary.json holds of a comparison. */
export type ComparisonSummary = ComparisonReport & {
  name: string;
  warnings: { code: string; pointer: string; detail: string }[];
};

/** A comparison as a person reads it: what is won and lost, what each sector hears and carries, who is harmed. */
export function comparisonTable(summary: ComparisonSummary): string {
  const { tiers, sectors, doNoHarm, sinrDown, sinrUp } = summary;
  return [
    summary.name,
    columns([["plan", "before", "after", "gained", "lost"], ...tiers.map(tierRow)]),
    columns([["sector", "serves", "hears", "carries down / up", "SINR down", "SINR up"], ...sectors.map(sectorRow)]),
    `SINR of all cells served both times: down ${sinrText(sinrDown)}, up ${sinrText(sinrUp)}`,
    ...overlapLines(summary),
    harmLine(doNoHarm),
    ...summary.warnings.map(({ code, pointer, detail }) => `! ${code}: ${detail}\n    at ${pointer}`),
  ].join("\n\n");
}

function tierRow({ plan, beforeKm2, afterKm2, gainedKm2, lostKm2 }: ComparisonReport["tiers"][number]): string[] {
  return [plan, ...[beforeKm2, afterKm2, gainedKm2, lostKm2].map((areaKm2) => `${areaKm2.toFixed(2)} km2`)];
}

function sectorRow({ id, before, after, sinrDown, sinrUp }: SectorChange): string[] {
  const both = (textOf: (state: NonNullable<SectorChange["before"]>) => string) =>
    [before, after].map((state) => (state ? textOf(state) : "-")).join(" -> ");
  return [
    id,
    both(({ servedCells }) => `${servedCells}`),
    both(({ noiseUpDbm }) => `${noiseUpDbm.toFixed(1)} dBm`),
    both(({ capacity }) => `${capacity.downMbps.toFixed(0)} / ${capacity.upMbps.toFixed(0)}`),
    sinrText(sinrDown),
    sinrText(sinrUp),
  ];
}

function sinrText(change: SinrChange | null): string {
  if (change === null) return "-";
  const signed = (db: number) => `${db < 0 ? "" : "+"}${db.toFixed(1)}`;
  return `${signed(change.meanDb)} dB (${signed(change.p10Db)} to ${signed(change.p90Db)})`;
}

function overlapLines({ overlaps }: ComparisonSummary): string[] {
  if (overlaps.after.length === 0) return [];
  const [first] = overlaps.after;
  const heads = [...first.places.map(({ offDeg }) => `${offDeg} degrees off`), "cells near it with a plan"];
  const rows = overlaps.after.map(({ sectors, isSameChannel, places, ground }) => [
    sectors.join(" and "),
    isSameChannel ? "one channel" : "two channels",
    ...places.map(({ ciDb }) => `${ciDb.toFixed(1)} dB`),
    `${ground.servedCells} of ${ground.cells}`,
  ]);
  return [columns([["co-channel overlap after", "", ...heads], ...rows])];
}

function harmLine({ passes, subscribers, notJudged, harmed }: ComparisonReport["doNoHarm"]): string {
  if (subscribers === 0) return "no subscribers are known, so whom it would harm is not known";
  const judged = subscribers - notJudged;
  const unknown = notJudged === 0 ? "" : `; ${notJudged} lie outside of the area or have no elevation`;
  if (passes) return `none of ${judged} subscribers loses a plan or more than 3 dB${unknown}`;
  return `${harmed.length} of ${judged} subscribers would lose: ${harmed.map(({ subscriber }) => subscriber).join(", ")}${unknown}`;
}
