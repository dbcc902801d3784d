import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { type Answer, type Mount, mountedAnswer, mountOf, type PlaceQuestion } from "@fellmark/answers";
import type { Compute } from "@fellmark/compute";
import { islandAddresses, islandRequest } from "@fellmark/island";
import { parseCoverageRequest } from "@fellmark/network";
import { columns } from "./summary-table.ts";

const LIMITS = { deadlineMs: 60_000 };

/** An address of the island and what the service says of it. */
export interface AnsweredAddress {
  address: string;
  answer: Answer;
  /** How to mount the CPE, at the height that the verdict is given for; null where it is no use. */
  mount: Mount | null;
}

/** Every address of the island, answered along its own profiles. */
export async function answerIsland(compute: Compute, terrainDir: string): Promise<AnsweredAddress[]> {
  const request = parseCoverageRequest(islandRequest());
  const answered: AnsweredAddress[] = [];
  for (const { address, lon, lat } of islandAddresses()) {
    const ask = (question: PlaceQuestion) =>
      compute.answer({ request, at: { lon, lat }, terrainDir, question }, LIMITS);
    const answer = await ask({ withProfile: true });
    const mounted = await mountedAnswer(answer, (heightAglM) => ask({ heightAglM }));
    answered.push({ address, answer, mount: mountOf(mounted) });
  }
  return answered;
}

/** A line for each address: the height of the CPE from which each plan holds; under it why, and how to mount the CPE. */
export function answersText(answered: readonly AnsweredAddress[]): string {
  const [first] = answered;
  const rows = answered.map(({ address, answer: { verdict, plans, probability } }) => {
    const heights = plans.map(({ leastHeightAglM }) => (leastHeightAglM === null ? "-" : `from ${leastHeightAglM} m`));
    return [address, verdict, ...heights, probability?.toFixed(2) ?? "-"];
  });
  const heads = ["address", "verdict", ...first.answer.plans.map(({ plan }) => plan), "probability now"];
  const [heading, ...lines] = columns([heads, ...rows]).split("\n");
  return [heading, ...lines.flatMap((line, index) => [line, ...whyLines(answered[index])])].join("\n");
}

function whyLines({ answer, mount }: AnsweredAddress): string[] {
  const clauses = answer.reason.split("; ");
  if (mount?.azimuthDeg != null) {
    const { heightAglM, sector, azimuthDeg, elevationDeg, downDbm } = mount;
    const aim = `${azimuthDeg.toFixed(1)} degrees true, ${elevationDeg.toFixed(1)} degrees up`;
    clauses.push(
      `mounted at ${heightAglM} m and aimed at ${sector}, ${aim}, it reads ${downDbm.toFixed(0)} dBm a chain`,
    );
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
      cpe: { ...drawn.cpe, label: place },
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
