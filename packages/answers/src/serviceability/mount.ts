import { findMagneticDeclination, type LonLat, type MagneticDeclination } from "@fellmark/geodesy";
import type { Answer } from "../place/answer.ts";
import { readSignalDbm } from "./answering-network.ts";

/** Height, aim and expected levels of a CPE, for an installer. Levels per chain. */
export interface Mount {
  sector: string;
  heightAglM: number;
  azimuthDeg: number | null;
  /** Azimuth for a compass; null where no day is given, no magnetic model holds on it, or there is no azimuth. */
  magnetic: MagneticAim | null;
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

export interface MagneticAim extends MagneticDeclination {
  azimuthDeg: number;
}

/** The answer at the height that the verdict is about, which is asked for where that is a taller mount. */
export async function answerAtMount(answer: Answer, askAt: (heightAglM: number) => Promise<Answer>): Promise<Answer> {
  const { heightAglM, leastHeightAglM } = answer;
  return leastHeightAglM === null || leastHeightAglM === heightAglM ? answer : askAt(leastHeightAglM);
}

/**
 * The mount toward the best sector; null where there is nothing to mount.
 * @param day of the installation, YYYY-MM-DD, for the aim by a compass.
 */
export function chooseMount({ at, verdict, links, heightAglM }: Answer, day?: string): Mount | null {
  const [best] = links;
  if (!best || verdict === "not-serviceable" || verdict === "not-known") return null;
  const { sector, azimuthDeg, elevationDeg, sinrDownDb, sinrUpDb, down, up } = best;
  const { downMbps, upMbps, downNowMbps, upNowMbps } = best;
  const levels = { downDbm: readSignalDbm(down), upDbm: readSignalDbm(up), sinrDownDb, sinrUpDb };
  const magnetic =
    azimuthDeg === null || at === null ? null : findMagneticAim({ lon: at[0], lat: at[1] }, azimuthDeg, day);
  const rates = { downMbps, upMbps, downNowMbps, upNowMbps };
  return { sector, heightAglM, azimuthDeg, magnetic, elevationDeg, ...levels, ...rates };
}

function findMagneticAim(place: LonLat, azimuthDeg: number, day: string | undefined): MagneticAim | null {
  const declination = day === undefined ? null : findMagneticDeclination(place, day);
  return declination && { ...declination, azimuthDeg: (azimuthDeg - declination.declinationDeg + 360) % 360 };
}
