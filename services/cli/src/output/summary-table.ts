import { createUnitFormat, type Units } from "./units.ts";
import { formatWarnings, type WarningLine } from "./warning-text.ts";

/** The part of a coverage's summary.json that is printed. */
export interface Summary {
  name: string;
  notKnownShare: number;
  tiers: { plan: string; downMbps: number; upMbps: number; areaKm2: number; share: number }[];
  surveyFirst: { areaKm2: number; share: number };
  noService: { areaKm2: number; share: number; upOnlyFails: number; water: { areaKm2: number; share: number } | null };
  sectors: { id: string; eirpDbm: number; binding: string | null; servedCells: number }[];
  warnings: WarningLine[];
}

/** Formats a coverage: the area of each plan, the sectors, the warnings. */
export function formatSummary(summary: Summary, units: Units = "metric"): string {
  const { text, columns } = createUnitFormat(units);
  const tiers = summary.tiers.map((tier) => [
    tier.plan,
    `${tier.downMbps} / ${tier.upMbps} Mbit/s`,
    ...buildAreaCells(tier),
  ]);
  const noService = ["no service", "", ...buildAreaCells(summary.noService)];
  const { water } = summary.noService;
  const surveyFirst = ["of plans: survey first", "", ...buildAreaCells(summary.surveyFirst)];
  const notKnown = ["not known", "", "", formatShare(summary.notKnownShare)];
  const sectors = summary.sectors.map(({ id, eirpDbm, binding, servedCells }) => [
    id,
    `${eirpDbm.toFixed(1)} dBm`,
    binding ?? "-",
    `${servedCells} cells`,
  ]);
  return [
    columns([
      ["plan", "down / up", "area", "share"],
      ...tiers,
      ...(summary.surveyFirst.share > 0 ? [surveyFirst] : []),
      noService,
      ...(water ? [["of that: water", "", ...buildAreaCells(water)]] : []),
      notKnown,
    ]),
    columns([["sector", "EIRP", "limited by", "serves"], ...sectors]),
    ...formatWarnings(summary.warnings).map(text),
  ].join("\n\n");
}

function buildAreaCells({ areaKm2, share }: { areaKm2: number; share: number }): string[] {
  return [`${areaKm2.toFixed(2)} km2`, formatShare(share)];
}

function formatShare(share: number): string {
  return `${(100 * share).toFixed(1)} %`;
}
