import type { Answer, AnswerLink, Mount } from "@fellmark/answers";
import { CAUTION } from "@fellmark/coverage";
import type { PlanSpec } from "@fellmark/network";
import { formatColumns } from "./columns.ts";

/** An answer, the same answer at the height of the mount, and the offers it speaks of. */
export interface AnswerToPrint {
  answer: Answer;
  /** The answer at the mount's height; the same object where that is the height asked for. */
  mounted: Answer;
  mount: Mount | null;
  plans: readonly PlanSpec[];
}

/** Formats an answer: verdict and reason first, then mount, plans, links, budget, warnings. */
export function formatAnswer({ answer, mounted, mount, plans }: AnswerToPrint): string {
  const { links, reason, warnings } = answer;
  const [best] = links;
  return [
    [formatHeadline({ answer, mounted, mount, plans }), ...reason.split("; ").map((clause) => `  ${clause}`)].join(
      "\n",
    ),
    ...(mount ? [formatMount(mount)] : []),
    ...(best ? [formatPlans(answer, plans), formatLinks(answer), ...formatObstacles(best)] : []),
    ...formatFoliage(answer),
    ...(best ? [`Link budget to ${best.sector} at ${answer.heightAglM} m\n${formatBudget(best)}`] : []),
    [...warnings.map(({ code, detail }) => `! ${code}: ${detail}`), formatInputs(answer)].join("\n"),
  ].join("\n\n");
}

/** The verdict with the offer it is made for: plan, speeds and chance at the height of the mount. */
function formatHeadline({ answer, mounted, plans }: AnswerToPrint): string {
  const offer = mounted.plans.find(({ plan }) => plan === mounted.plan);
  const spec = plans.find(({ id }) => id === offer?.plan);
  if (!offer || !spec) return `${formatVerdict(answer).toUpperCase()}`;
  const speeds = `${spec.downMbps}/${spec.upMbps} Mbit/s`;
  const headline = `${formatVerdict(answer).toUpperCase()}: ${offer.plan} (${speeds}), ${formatShare(offer.probability)} chance`;
  const asked = answer.plans.find(({ plan }) => plan === offer.plan);
  if (mounted === answer || !asked) return headline;
  return `${headline}. At ${answer.heightAglM} m: ${formatShare(asked.probability)}`;
}

/** A verdict in words, with the height it holds for. */
export function formatVerdict({ verdict, leastHeightAglM, heightAglM }: Answer): string {
  if (verdict === "serviceable-at-height") return `serviceable with a ${leastHeightAglM} m mount`;
  const words = verdict.replaceAll("-", " ");
  return verdict === "not-known" ? words : `${words} at ${heightAglM} m`;
}

function formatMount({ sector, heightAglM, azimuthDeg, elevationDeg, ...expected }: Mount): string {
  const aim = azimuthDeg === null ? "" : `, ${azimuthDeg.toFixed(1)} degrees true`;
  const { downDbm, upDbm, sinrDownDb, sinrUpDb, downMbps, upMbps } = expected;
  const levels = `${formatDecibels(downDbm)} dBm per chain down, ${formatDecibels(upDbm)} dBm up`;
  const quality = `SINR ${formatDecibels(sinrDownDb)} / ${formatDecibels(sinrUpDb)} dB`;
  return formatColumns([
    ["mount", `${heightAglM} m above ground, aim at ${sector}${aim}, ${elevationDeg.toFixed(1)} degrees up`],
    ["expect", `${levels}, ${quality}, ${downMbps.toFixed(1)} / ${upMbps.toFixed(1)} Mbit/s`],
  ]);
}

function formatPlans({ plans, heightAglM }: Answer, specs: readonly PlanSpec[]): string {
  const rows = plans.map(({ plan, probability, leastHeightAglM }) => {
    const spec = specs.find(({ id }) => id === plan);
    const speeds = spec ? `${spec.downMbps} / ${spec.upMbps} Mbit/s` : "";
    return [plan, speeds, formatShare(probability), leastHeightAglM === null ? "none" : `${leastHeightAglM} m`];
  });
  return formatColumns([["plan", "down / up", `chance at ${heightAglM} m`, "lowest mount"], ...rows]);
}

function formatLinks({ links, heightAglM }: Answer): string {
  const rows = links.map((link) => [
    link.sector,
    formatKilometres(link.distanceM),
    link.azimuthDeg === null ? "-" : link.azimuthDeg.toFixed(1),
    link.class,
    link.fresnelClearance === null || link.fresnelClearance < 0 ? "-" : formatShare(link.fresnelClearance),
    `${link.downMbps.toFixed(1)} / ${link.upMbps.toFixed(1)}`,
    `${formatDecibels(link.sinrDownDb)} / ${formatDecibels(link.sinrUpDb)}`,
  ]);
  return formatColumns([
    [`at ${heightAglM} m`, "distance", "azimuth", "path", "Fresnel", "Mbit/s down / up", "SINR dB"],
    ...rows,
  ]);
}

function formatObstacles({ obstacles }: AnswerLink): string[] {
  if (obstacles.length === 0) return [];
  const rows = obstacles.map(({ distanceM, heightAmslM, excessM }, index) => [
    `${index + 1}`,
    formatKilometres(distanceM),
    `${heightAmslM.toFixed(0)} m`,
    `${excessM.toFixed(1)} m`,
  ]);
  return [formatColumns([["obstacle", "from the mast", "top above sea", "above line of sight"], ...rows])];
}

function formatFoliage({ foliage }: Answer): string[] {
  if (!foliage) return [];
  const format = ({ plan, probability }: NonNullable<Answer["foliage"]>["leafOn"]) =>
    `${plan ?? "no plan"}, ${formatShare(probability)} chance`;
  return [
    formatColumns([
      ["leaf-on", format(foliage.leafOn)],
      ["leaf-off", format(foliage.leafOff)],
    ]),
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
