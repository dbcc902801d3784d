import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { Compute } from "@fellmark/compute";
import type { Answer } from "@fellmark/coverage";
import { islandAddresses, islandRequest } from "@fellmark/island";
import { parseCoverageRequest } from "@fellmark/network";
import { columns } from "./summary-table.ts";

const LIMITS = { deadlineMs: 60_000 };

/** An address of the island and what the service says of it. */
export interface AnsweredAddress {
  address: string;
  answer: Answer;
}

/** Every address of the island, answered along its own profiles. */
export async function answerIsland(compute: Compute, terrainDir: string): Promise<AnsweredAddress[]> {
  const request = parseCoverageRequest(islandRequest());
  const answered: AnsweredAddress[] = [];
  for (const { address, lon, lat } of islandAddresses()) {
    const task = { request, at: { lon, lat }, terrainDir, question: { withProfile: true } };
    answered.push({ address, answer: await compute.answer(task, LIMITS) });
  }
  return answered;
}

/** A line for each address: the height of the kit from which each plan holds; under it why, and how to mount the kit. */
export function answersText(answered: readonly AnsweredAddress[]): string {
  const [first] = answered;
  const rows = answered.map(({ address, answer: { verdict, plans, probability } }) => {
    const heights = plans.map(({ leastHeightAglM }) => (leastHeightAglM === null ? "-" : `from ${leastHeightAglM} m`));
    return [address, verdict, ...heights, probability?.toFixed(2) ?? "-"];
  });
  const heads = ["address", "verdict", ...first.answer.plans.map(({ plan }) => plan), "probability now"];
  const [heading, ...lines] = columns([heads, ...rows]).split("\n");
  return [heading, ...lines.flatMap((line, index) => [line, ...whyLines(answered[index].answer)])].join("\n");
}

function whyLines({ reason, links, verdict }: Answer): string[] {
  const [best] = links;
  const clauses = reason.split("; ");
  const isSold = verdict === "serviceable" || verdict === "serviceable-at-height";
  if (isSold && best?.azimuthDeg != null) {
    const { azimuthDeg, elevationDeg } = best;
    clauses.push(`aim the kit at ${azimuthDeg.toFixed(1)} degrees true, ${elevationDeg.toFixed(1)} degrees up`);
  }
  return clauses.map((clause) => `    ${clause}`);
}

/** Writes the drawn profile of each address, as SVG and as PNG: kiln-row.svg of "4 Kiln Row, Nessolt". */
export async function saveAnswers(
  compute: Compute,
  answered: readonly AnsweredAddress[],
  outDir: string,
): Promise<void> {
  for (const { address, answer } of answered) {
    if (!answer.profile) continue;
    const [place] = address.split(",");
    const { links, profile: drawn } = answer;
    const profile = {
      ...drawn,
      title: `${address}: ${verdictText(answer)}`,
      subtitle: `from ${links[0].sector}; ${drawn.subtitle}`,
      kit: { ...drawn.kit, label: place },
    };
    for (const format of ["svg", "png"] as const) {
      const picture = await compute.draw({ profile, format }, LIMITS);
      await writeFile(join(outDir, `${fileNameOf(place)}.${format}`), picture);
    }
  }
}

function verdictText({ verdict, leastHeightAglM }: Answer): string {
  return verdict === "serviceable-at-height" ? `serviceable at ${leastHeightAglM} m` : verdict.replaceAll("-", " ");
}

function fileNameOf(place: string): string {
  return place
    .toLowerCase()
    .replace(/[^a-z]+/g, "-")
    .replace(/^-|-$/g, "");
}
