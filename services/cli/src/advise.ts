import type { Compute } from "@fellmark/compute";
import type { Advice, ChannelReport, PlanReport, SectorAdvice } from "@fellmark/coverage";
import { parseAdviceRequest } from "@fellmark/network";
import type { CliConfig } from "./config.ts";
import { runJobCommand } from "./job-command.ts";
import { readJson } from "./request-file.ts";
import { columns } from "./summary-table.ts";

/** Channels of a ranking that are printed; summary.json holds all. */
const PRINTED_CHANNELS = 5;

const CAPACITY_HEADS = [
  ...["sector", "places", "today alone", "today", "cut off", "chosen", "cut off"],
  ...["utilisation", "contention", "room for"],
];

/** What summary.json holds of an advice. */
type Summary = Advice & { warnings: { code: string; pointer: string; detail: string }[] };

/** `advise`: channels ranked and chosen for the sectors of a network. */
export function advise(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  return runJobCommand(words, config, compute, {
    title: "advice",
    read: async (path) => parseAdviceRequest(await readJson(path)),
    run: compute.advise,
    text: adviceText,
  });
}

/** The advice as a person reads it: the joint plan, its gain, each sector's best channels, how full the sectors are. */
function adviceText({ sectors, today, chosen, changes, rateFactor, warnings }: Summary): string {
  const gain = `${changes} of ${sectors.length} sectors change; the 10th percentile gets ${rateFactor.toFixed(2)} times today's rate`;
  return [
    "Joint plan (rates of the 10th percentile of each sector's places, down / up)",
    columns([["sector", "today", "", "chosen", "", "fall back to"], ...sectors.map(planRow), totalRow(today, chosen)]),
    gain,
    `Co-channel overlaps on one channel: today ${overlapsText(today)}; chosen ${overlapsText(chosen)}`,
    ...sectors.filter(({ ranking }) => ranking.length > 0).map(rankingText),
    "Capacity, down / up",
    columns([CAPACITY_HEADS, ...capacityRows(sectors)]),
    ...warnings.map(({ code, pointer, detail }) => `! ${code}: ${detail}\n    at ${pointer}`),
  ].join("\n\n");
}

function planRow({ id, today, chosen }: SectorAdvice): string[] {
  const fallback = chosen.isDfs ? (chosen.fallback ? channelText(chosen.fallback) : "nowhere") : "";
  return [id, channelText(today.channel), ratesText(today), channelText(chosen.channel), ratesText(chosen), fallback];
}

function totalRow(today: PlanReport, chosen: PlanReport): string[] {
  return ["sum", "", ratesText(today), "", ratesText(chosen), ""];
}

function rankingText({ id, ranking, refused }: SectorAdvice): string {
  const rows = ranking
    .slice(0, PRINTED_CHANNELS)
    .map((ranked) => [
      channelText(ranked.channel),
      ratesText(ranked),
      `${decibels(ranked.sinrDownDb)} / ${decibels(ranked.sinrUpDb)}`,
      `${ranked.overlaps}`,
      dfsText(ranked),
    ]);
  const table = columns([["channel", "down / up", "SINR dB", "overlaps", "dfs"], ...rows]);
  const refusals =
    refused.length === 0 ? "" : `\nrefused: ${refused.map(({ channel }) => channelText(channel)).join(", ")}`;
  return `${id}, the others as today\n${table}${refusals}`;
}

function dfsText({ isDfs, fallback }: ChannelReport): string {
  if (!isDfs) return "-";
  return fallback ? `leave to ${channelText(fallback)}` : "nowhere to leave to";
}

function capacityRows(sectors: readonly SectorAdvice[]): string[][] {
  return sectors.map(({ id, capacity: { today, chosen } }) => {
    const { places, utilisation, contention, room } = chosen.loaded;
    return [
      id,
      `${places}`,
      ratesText(today.unloaded),
      ratesText(today.loaded),
      `${today.loaded.cutOff}`,
      ratesText(chosen.loaded),
      `${chosen.loaded.cutOff}`,
      utilisation === null ? "-" : `${(100 * utilisation).toFixed(0)} %`,
      contention === null ? "-" : `${contention.toFixed(1)} : 1`,
      room.map(({ plan, subscribers }) => `${subscribers} ${plan}`).join(" or "),
    ];
  });
}

function channelText({ centreMhz, widthMhz }: ChannelReport["channel"]): string {
  return `${centreMhz} (${widthMhz})`;
}

function ratesText({ downMbps, upMbps }: { downMbps: number; upMbps: number }): string {
  return `${downMbps.toFixed(1)} / ${upMbps.toFixed(1)}`;
}

function decibels(value: number | null): string {
  return value === null ? "-" : value.toFixed(1);
}

function overlapsText({ overlaps }: PlanReport): string {
  return overlaps.length === 0 ? "none" : overlaps.map(([a, b]) => `${a} and ${b}`).join(", ");
}
