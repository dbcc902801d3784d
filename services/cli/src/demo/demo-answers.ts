import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import {
  type Answer,
  answerAtMount,
  chooseMount,
  formatPercent,
  type Mount,
  type PlaceQuestion,
} from "@fellmark/answers";
import type { Compute } from "@fellmark/compute";
import { buildIslandRequest, findIslandAddresses } from "@fellmark/island";
import { parseCoverageRequest } from "@fellmark/network";
import { formatColumns } from "../output/columns.ts";

const LIMITS = { deadlineMs: 60_000 };

/** An address of the island with its answer. */
export interface AnsweredAddress {
  address: string;
  answer: Answer;
  /** Mount of the CPE, at the height that the verdict is given for; null where there is no service. */
  mount: Mount | null;
}

/** Every address of the island, answered along its own profiles. */
export async function answerIsland(compute: Compute, terrainDir: string): Promise<AnsweredAddress[]> {
  const request = parseCoverageRequest(buildIslandRequest());
  const answered: AnsweredAddress[] = [];
  for (const { address, lon, lat } of findIslandAddresses()) {
    const ask = (question: PlaceQuestion) =>
      compute.answer({ request, at: { lon, lat }, terrainDir, question }, LIMITS);
    const answer = await ask({ withProfile: true });
    const mounted = await answerAtMount(answer, (heightAglM) => ask({ heightAglM }));
    answered.push({ address, answer, mount: chooseMount(mounted) });
  }
  return answered;
}

/** Formats a line for each address with the lowest mount of each plan; under it the headline, the reason and the mount. */
export function formatAnswers(answered: readonly AnsweredAddress[]): string {
  const [first] = answered;
  const rows = answered.map(({ address, answer: { verdict, plans, considered } }) => {
    const heights = plans.map(({ leastHeightAglM }) => (leastHeightAglM === null ? "-" : `from ${leastHeightAglM} m`));
    const chance = considered ? `${formatPercent(considered.probability)} at ${considered.heightAglM} m` : "-";
    return [address, verdict.replaceAll("-", " "), ...heights, chance];
  });
  const heads = ["address", "verdict", ...first.answer.plans.map(({ plan }) => plan), "chance"];
  const [heading, ...lines] = formatColumns([heads, ...rows]).split("\n");
  return [heading, ...lines.flatMap((line, index) => [line, ...formatReasons(answered[index])])].join("\n");
}

function formatReasons({ answer, mount }: AnsweredAddress): string[] {
  const lines = [answer.reason];
  if (mount?.azimuthDeg != null) {
    const { heightAglM, sector, azimuthDeg, elevationDeg, downDbm } = mount;
    const aim = `${azimuthDeg.toFixed(1)} degrees true, ${elevationDeg.toFixed(1)} degrees up`;
    lines.push(`Mount at ${heightAglM} m, aim at ${sector}, ${aim}; expect ${downDbm.toFixed(0)} dBm per chain.`);
  }
  return lines.map((line) => `    ${line}`);
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
    const { profile: drawn } = answer;
    const profile = {
      ...drawn,
      title: `${address}: ${drawn.title.toLowerCase()}`,
      cpe: { ...drawn.cpe, label: place },
    };
    for (const format of ["svg", "png"] as const) {
      const picture = await compute.draw({ profile, format }, LIMITS);
      await writeFile(join(outDir, `${toFileName(place)}.${format}`), picture);
    }
  }
}

function toFileName(place: string): string {
  return place
    .toLowerCase()
    .replace(/[^a-z]+/g, "-")
    .replace(/^-|-$/g, "");
}
