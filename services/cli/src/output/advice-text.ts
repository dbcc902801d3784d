import type { Advice, ChannelReport, PlanReport, SectorAdvice } from "@fellmark/coverage";
import { formatColumns } from "./columns.ts";
import { formatWarnings, type WarningLine } from "./warning-text.ts";

/** Channels of a ranking that are printed; summary.json holds all. */
const PRINTED_CHANNELS = 5;

const CAPACITY_HEADS = [
  ...["sector", "places", "today, idle network", "today", "too weak", "chosen", "too weak"],
  ...["utilisation", "contention", "room for", "full in"],
];

/** The part of an advice's summary.json that is printed. */
type Summary = Advice & { warnings: WarningLine[] };

/** Formats an advice: the channel plan, its gain, the best channels of each sector, the capacities. */
export function formatAdvice({ sectors, today, chosen, changes, rateFactor, isCutShort, warnings }: Summary): string {
  const gain = `${changes} of ${sectors.length} sectors change channel; the 10th percentile gets ${rateFactor.toFixed(2)} times today's rate`;
  const heads = ["sector", "today", "", "chosen", "", "DFS fallback"];
  return [
    "Channel plan (MHz (width); 10th percentile of the rates in each sector, Mbit/s down / up)",
    formatColumns([heads, ...sectors.map(toPlanRow), toTotalRow(today, chosen)]),
    gain,
    ...(isCutShort ? ["The search ended at its limit: a better channel plan may exist"] : []),
    `Neighbouring sectors that overlap on one channel: today ${formatOverlaps(today)}; chosen ${formatOverlaps(chosen)}`,
    ...sectors.filter(({ ranking }) => ranking.length > 0).map(formatRanking),
    "Capacity of each sector, Mbit/s down / up",
    formatColumns([CAPACITY_HEADS, ...toCapacityRows(sectors)]),
    ...formatWarnings(warnings),
  ].join("\n\n");
}

function toPlanRow({ id, today, chosen }: SectorAdvice): string[] {
  const fallback = chosen.isDfs ? (chosen.fallback ? formatChannel(chosen.fallback) : "none") : "";
  return [
    id,
    formatChannel(today.channel),
    formatRates(today),
    formatChannel(chosen.channel),
    formatRates(chosen),
    fallback,
  ];
}

function toTotalRow(today: PlanReport, chosen: PlanReport): string[] {
  return ["sum", "", formatRates(today), "", formatRates(chosen), ""];
}

function formatRanking({ id, ranking, refused }: SectorAdvice): string {
  const rows = ranking
    .slice(0, PRINTED_CHANNELS)
    .map((ranked) => [
      formatChannel(ranked.channel),
      formatRates(ranked),
      `${formatDecibels(ranked.sinrDownDb)} / ${formatDecibels(ranked.sinrUpDb)}`,
      `${ranked.overlaps}`,
      formatDfs(ranked),
    ]);
  const table = formatColumns([["channel", "down / up", "SINR dB", "overlaps", "DFS"], ...rows]);
  const refusals =
    refused.length === 0 ? "" : `\nrefused: ${refused.map(({ channel }) => formatChannel(channel)).join(", ")}`;
  return `${id}, the other sectors as today\n${table}${refusals}`;
}

function formatDfs({ isDfs, fallback }: ChannelReport): string {
  if (!isDfs) return "-";
  return fallback ? `falls back to ${formatChannel(fallback)}` : "no fallback";
}

function toCapacityRows(sectors: readonly SectorAdvice[]): string[][] {
  return sectors.map(({ id, capacity: { today, chosen } }) => {
    const { places, utilisation, contention, room, monthsToFull } = chosen.loaded;
    return [
      id,
      `${places}`,
      formatRates(today.unloaded),
      formatRates(today.loaded),
      `${today.loaded.cutOff}`,
      formatRates(chosen.loaded),
      `${chosen.loaded.cutOff}`,
      utilisation === null ? "-" : `${(100 * utilisation).toFixed(0)} %`,
      contention === null ? "-" : `${contention.toFixed(1)} : 1`,
      room.map(({ plan, subscribers }) => `${subscribers} ${plan}`).join(" or "),
      monthsToFull === null ? "-" : `${Math.floor(monthsToFull)} months`,
    ];
  });
}

function formatChannel({ centreMhz, widthMhz }: ChannelReport["channel"]): string {
  return `${centreMhz} (${widthMhz})`;
}

function formatRates({ downMbps, upMbps }: { downMbps: number; upMbps: number }): string {
  return `${downMbps.toFixed(1)} / ${upMbps.toFixed(1)}`;
}

function formatDecibels(value: number | null): string {
  return value === null ? "-" : value.toFixed(1);
}

function formatOverlaps({ overlaps }: PlanReport): string {
  return overlaps.length === 0 ? "none" : overlaps.map(([a, b]) => `${a} and ${b}`).join(", ");
}
