import {
  type Answer,
  type AnswerLink,
  formatBothRates,
  formatPercent,
  formatRates,
  type Mount,
} from "@fellmark/answers";
import { CAUTION } from "@fellmark/coverage";
import type { PlanSpec } from "@fellmark/network";
import { formatColumns } from "./columns.ts";
import { createUnitFormat, type Units } from "./units.ts";

/** An answer, and the same place answered at the height that the answer is about. */
export interface AnswerToPrint {
  answer: Answer;
  /** The same object where that is the height asked for. */
  mounted: Answer;
  mount: Mount | null;
  plans: readonly PlanSpec[];
}

/** Formats an answer: headline and reason, then mount, plans, links and budget at the mount, warnings. */
export function formatAnswer({ answer, mounted, mount, plans }: AnswerToPrint, units: Units = "metric"): string {
  const { text, columns } = createUnitFormat(units);
  const [best] = mounted.links;
  return [
    text(`${formatHeadline(answer.headline)}\n  ${answer.reason}`),
    ...(mount ? [columns(listMountRows(mount))] : []),
    ...(best ? [columns(listPlanRows(answer, plans)), columns(listLinkRows(mounted))] : []),
    ...(best && best.obstacles.length > 0 ? [columns(listObstacleRows(best))] : []),
    ...(answer.foliage ? [columns(listFoliageRows(answer, answer.foliage))] : []),
    ...(best ? [`${text(`Link budget to ${best.sector} at ${mounted.heightAglM} m`)}\n${formatBudget(best)}`] : []),
    [...answer.warnings.map(({ code, detail }) => `! ${code}: ${text(detail)}`), formatInputs(answer)].join("\n"),
  ].join("\n\n");
}

/** The verdict in capitals, then the case that it is about. */
function formatHeadline(headline: string): string {
  const [verdict, ...rest] = headline.split(": ");
  return [verdict.toUpperCase(), ...rest].join(": ");
}

function listMountRows({ sector, heightAglM, azimuthDeg, magnetic, elevationDeg, ...expected }: Mount): string[][] {
  const compass = magnetic ? ` (${magnetic.azimuthDeg.toFixed(1)} magnetic, ${magnetic.model})` : "";
  const aim = azimuthDeg === null ? "" : `, ${azimuthDeg.toFixed(1)} degrees true${compass}`;
  const { downDbm, upDbm, sinrDownDb, sinrUpDb } = expected;
  const levels = `${formatDecibels(downDbm)} dBm per chain down, ${formatDecibels(upDbm)} dBm up`;
  const quality = `SINR ${formatDecibels(sinrDownDb)} / ${formatDecibels(sinrUpDb)} dB`;
  return [
    ["mount", `${heightAglM} m above ground, aim at ${sector}${aim}, ${elevationDeg.toFixed(1)} degrees up`],
    ["expect", `${levels}, ${quality}`],
    ["rates", formatBothRates(expected)],
  ];
}

/** Every plan with its chance at the height asked for, and at the lowest mount from which it is met. */
function listPlanRows({ plans, offers, heightAglM }: Answer, specs: readonly PlanSpec[]): string[][] {
  const rows = plans.map(({ plan, probability }) => {
    const spec = specs.find(({ id }) => id === plan);
    const speeds = spec ? `${spec.downMbps} / ${spec.upMbps} Mbit/s` : "";
    const offer = offers.find((each) => each.plan === plan);
    const lowest = offer ? [`${offer.heightAglM} m`, formatPercent(offer.probability)] : ["none", "-"];
    return [plan, speeds, formatPercent(probability), ...lowest];
  });
  return [["plan", "down / up", `chance at ${heightAglM} m`, "lowest mount", "chance there"], ...rows];
}

function listLinkRows({ links, heightAglM }: Answer): string[][] {
  const rows = links.map((link) => [
    link.sector,
    formatKilometres(link.distanceM),
    link.azimuthDeg === null ? "-" : link.azimuthDeg.toFixed(1),
    link.class,
    link.fresnelClearance === null || link.fresnelClearance < 0 ? "-" : formatShare(link.fresnelClearance),
    formatRates(link.downNowMbps, link.upNowMbps),
    formatRates(link.downMbps, link.upMbps),
    `${formatDecibels(link.sinrDownDb)} / ${formatDecibels(link.sinrUpDb)}`,
  ]);
  return [
    [`at ${heightAglM} m`, "distance", "azimuth", "path", "Fresnel", "rate now", "planned, Mbit/s", "SINR dB"],
    ...rows,
  ];
}

function listObstacleRows({ obstacles }: AnswerLink): string[][] {
  const rows = obstacles.map(({ distanceM, heightAmslM, excessM }, index) => [
    `${index + 1}`,
    formatKilometres(distanceM),
    `${heightAmslM.toFixed(0)} m`,
    `${excessM.toFixed(1)} m`,
  ]);
  return [["obstacle", "from the mast", "top above sea level", "above line of sight"], ...rows];
}

type Foliage = NonNullable<Answer["foliage"]>;

function listFoliageRows({ considered, heightAglM }: Answer, { leafOn, leafOff }: Foliage): string[][] {
  const asked = considered?.plan ?? "";
  const format = ({ plan, probability }: Foliage["leafOn"]) =>
    `best plan at ${heightAglM} m: ${plan ?? "none"}; ${asked}: ${formatPercent(probability)} chance`;
  return [
    ["leaf-on", format(leafOn)],
    ["leaf-off", format(leafOff)],
  ];
}

/** Only terms that count in one direction at least. */
function formatBudget(link: AnswerLink): string {
  const rows = link.down.map(({ term, db }, index) => [
    term,
    formatHundredths(db),
    formatHundredths(link.up[index].db),
  ]);
  const telling = rows.filter(([, down, up]) => down !== "0.00" || up !== "0.00");
  return formatColumns([["dB", "down", "up"], ...telling]);
}

function formatInputs({ inputs: { model, terrain, calibration } }: Answer): string {
  const ground = terrain === null ? "a surveyed profile" : `terrain ${terrain.slice(0, 12)}`;
  const own = calibration === null ? "" : `, calibration ${calibration}`;
  return `model ${model}, ${ground}${own}. ${CAUTION}`;
}

function formatKilometres(metres: number): string {
  return `${(metres / 1000).toFixed(2)} km`;
}

function formatShare(share: number): string {
  return `${(100 * share).toFixed(0)} %`;
}

function formatDecibels(value: number): string {
  return value.toFixed(1);
}

/** Two decimals, and never a zero with a minus. */
function formatHundredths(db: number): string {
  return (Math.round(db * 100) / 100 + 0).toFixed(2);
}
