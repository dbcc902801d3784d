import type { Answer } from "../place/answer.ts";
import { readSignalDbm } from "./answering-network.ts";

/** Height, aim and expected levels of a CPE, for an installer. Levels per chain. */
export interface Mount {
  sector: string;
  heightAglM: number;
  azimuthDeg: number | null;
  elevationDeg: number;
  downDbm: number;
  upDbm: number;
  sinrDownDb: number;
  sinrUpDb: number;
  /** Planned rates, after margins, and rates now. */
  downMbps: number;
  upMbps: number;
  downNowMbps: number;
  upNowMbps: number;
}

/** The answer at the height that the verdict is about, which is asked for where that is a taller mount. */
export async function answerAtMount(answer: Answer, askAt: (heightAglM: number) => Promise<Answer>): Promise<Answer> {
  const { heightAglM, leastHeightAglM } = answer;
  return leastHeightAglM === null || leastHeightAglM === heightAglM ? answer : askAt(leastHeightAglM);
}

/** The mount toward the best sector; null where there is nothing to mount. */
export function chooseMount({ verdict, links, heightAglM }: Answer): Mount | null {
  const [best] = links;
  if (!best || verdict === "not-serviceable" || verdict === "not-known") return null;
  const { sector, azimuthDeg, elevationDeg, sinrDownDb, sinrUpDb, down, up } = best;
  const { downMbps, upMbps, downNowMbps, upNowMbps } = best;
  const levels = { downDbm: readSignalDbm(down), upDbm: readSignalDbm(up), sinrDownDb, sinrUpDb };
  return { sector, heightAglM, azimuthDeg, elevationDeg, ...levels, downMbps, upMbps, downNowMbps, upNowMbps };
}
