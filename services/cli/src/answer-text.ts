import type { Answer, AnswerLink, Mount } from "@fellmark/answers";
import { CAUTION } from "@fellmark/coverage";
import type { PlanSpec } from "@fellmark/network";
import { columns } from "./summary-table.ts";

/** An answer as a planner reads it: verdict and reason first, how to mount, what to sell, who else, and the budget. */
export function answerText(answer: Answer, mount: Mount | null, plans: readonly PlanSpec[]): string {
  const { links, reason, warnings } = answer;
  const [best] = links;
  return [
    [headline(answer), ...reason.split("; ").map((clause) => `  ${clause}`)].join("\n"),
    ...(mount ? [mountTable(mount)] : []),
    ...(best ? [planTable(answer, plans), linkTable(answer), ...obstacleTable(best)] : []),
    ...seasonTable(answer),
    ...(best ? [budgetTable(best)] : []),
    [...warnings.map(({ code, detail }) => `! ${code}: ${detail}`), inputsLine(answer)].join("\n"),
  ].join("\n\n");
}

function headline({ verdict, plan, leastHeightAglM }: Answer): string {
  const atHeight =
    verdict === "serviceable-at-height" ? `serviceable at ${leastHeightAglM} m` : verdict.replaceAll("-", " ");
  return `${atHeight.toUpperCase()}${plan === null ? "" : `: best plan now ${plan}`}`;
}

function mountTable({ sector, heightAglM, azimuthDeg, elevationDeg, ...expected }: Mount): string {
  const aim = azimuthDeg === null ? "" : `, ${azimuthDeg.toFixed(1)} degrees true`;
  const { downDbm, upDbm, sinrDownDb, sinrUpDb, downMbps, upMbps } = expected;
  const levels = `${decibels(downDbm)} dBm a chain down, ${decibels(upDbm)} dBm up`;
  const quality = `SINR ${decibels(sinrDownDb)} / ${decibels(sinrUpDb)} dB`;
  return columns([
    ["mount", `${heightAglM} m above ground, aim at ${sector}${aim}, ${elevationDeg.toFixed(1)} degrees up`],
    ["expect", `${levels}, ${quality}, ${downMbps.toFixed(1)} / ${upMbps.toFixed(1)} Mbit/s`],
  ]);
}

function planTable({ plans }: Answer, specs: readonly PlanSpec[]): string {
  const rows = plans.map(({ plan, probability, leastHeightAglM }) => {
    const spec = specs.find(({ id }) => id === plan);
    const speeds = spec ? `${spec.downMbps} / ${spec.upMbps} Mbit/s` : "";
    return [plan, speeds, percent(probability), leastHeightAglM === null ? "no height" : `from ${leastHeightAglM} m`];
  });
  return columns([["plan", "down / up", "holds now", "sure to hold"], ...rows]);
}

function linkTable({ links, heightAglM }: Answer): string {
  const rows = links.map((link) => [
    link.sector,
    kilometres(link.distanceM),
    link.azimuthDeg === null ? "-" : link.azimuthDeg.toFixed(1),
    link.class,
    link.fresnelClearance === null || link.fresnelClearance < 0 ? "-" : percent(link.fresnelClearance),
    `${link.downMbps.toFixed(1)} / ${link.upMbps.toFixed(1)}`,
    `${decibels(link.sinrDownDb)} / ${decibels(link.sinrUpDb)}`,
  ]);
  return columns([
    [`at ${heightAglM} m`, "away", "azimuth", "sight", "Fresnel", "Mbit/s down / up", "SINR dB"],
    ...rows,
  ]);
}

function obstacleTable({ obstacles }: AnswerLink): string[] {
  if (obstacles.length === 0) return [];
  const rows = obstacles.map(({ distanceM, heightAmslM, excessM }, index) => [
    `${index + 1}`,
    kilometres(distanceM),
    `${heightAmslM.toFixed(0)} m`,
    `${excessM.toFixed(1)} m`,
  ]);
  return [columns([["in the way", "from the mast", "top", "over the line"], ...rows])];
}

function seasonTable({ foliage }: Answer): string[] {
  if (!foliage) return [];
  const of = ({ plan, probability }: NonNullable<Answer["foliage"]>["leafOn"]) =>
    `${plan ?? "no plan"}, ${percent(probability)}`;
  return [
    columns([
      ["leaves on", of(foliage.leafOn)],
      ["leaves off", of(foliage.leafOff)],
    ]),
  ];
}

/** Terms that take or give something in either direction. */
function budgetTable(link: AnswerLink): string {
  const rows = link.down.map(({ term, db }, index) => [term, hundredths(db), hundredths(link.up[index].db)]);
  const telling = rows.filter(([, down, up]) => down !== "0.00" || up !== "0.00");
  return columns([["dB", "down", "up"], ...telling]);
}

function inputsLine({ inputs: { model, terrain, calibration } }: Answer): string {
  const ground = terrain === null ? "a surveyed profile" : `terrain ${terrain.slice(0, 12)}`;
  const own = calibration === null ? "" : `, calibration ${calibration}`;
  return `model ${model}, ${ground}${own}. ${CAUTION}`;
}

function kilometres(metres: number): string {
  return `${(metres / 1000).toFixed(2)} km`;
}

function percent(share: number): string {
  return `${(100 * share).toFixed(0)} %`;
}

function decibels(value: number): string {
  return value.toFixed(1);
}

/** Two decimals, and never a zero with a minus. */
function hundredths(db: number): string {
  return (Math.round(db * 100) / 100 + 0).toFixed(2);
}
