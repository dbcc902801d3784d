import type { LonLat } from "@fellmark/geodesy";
import { CLUTTER_ROWS, type EndClutterClass, type Polarisation } from "@fellmark/propagation";
import { type FieldProblem, InputError } from "@fellmark/units";

/** One link of the file: what was measured and the ground under it. */
export interface MeasuredLink {
  id: string;
  frequencyGhz: number;
  polarisation: Polarisation;
  txHeightAglM: number;
  rxHeightAglM: number;
  /** Points from the transmitter, the first at 0 km. Heights null or absent are gaps. */
  profile: { distanceKm: number[]; groundAmslM: (number | null)[]; clutterHeightM?: (number | null)[] };
  measuredLossDb: number;
  /** Lapse rate of refractivity, N-units per km; the 4/3 Earth where absent. */
  deltaN?: number;
  clutterType?: { tx: EndClutterClass; rx: EndClutterClass };
  /** Where the ends are. */
  tx?: LonLat;
  rx?: LonLat;
}

/** The links of a parsed file. Throws InputError that names every fault by its JSON pointer. */
export function parseMeasuredLinks(parsed: unknown): MeasuredLink[] {
  const links = isRecord(parsed) ? parsed.links : undefined;
  if (!Array.isArray(links)) throw new InputError([{ pointer: "/links", detail: "must be a list of links" }]);
  if (links.length === 0) throw new InputError([{ pointer: "/links", detail: "holds no link" }]);
  const problems = links.flatMap((link, i) => faultsOf(link, `/links/${i}`));
  if (problems.length > 0) throw new InputError(problems);
  return links as MeasuredLink[];
}

function faultsOf(link: unknown, pointer: string): FieldProblem[] {
  if (!isRecord(link)) return [{ pointer, detail: "must be an object" }];
  const problems: FieldProblem[] = [];
  const want = (name: string, isRight: boolean, detail: string) => {
    if (!isRight) problems.push({ pointer: `${pointer}/${name}`, detail });
  };
  want("id", typeof link.id === "string", "must be a text");
  want("polarisation", link.polarisation === "horizontal" || link.polarisation === "vertical", "is not known");
  for (const name of ["frequencyGhz", "txHeightAglM", "rxHeightAglM"]) {
    want(name, isNumber(link[name]) && link[name] > 0, "must be a number above 0");
  }
  want("measuredLossDb", isNumber(link.measuredLossDb), "must be a number");
  want("deltaN", link.deltaN === undefined || (isNumber(link.deltaN) && link.deltaN < 157), "must be below 157");
  want("clutterType", link.clutterType === undefined || isClutterPair(link.clutterType), "has a class not known");
  for (const end of ["tx", "rx"]) want(end, link[end] === undefined || isLonLat(link[end]), "must hold lon and lat");
  want("profile", isProfile(link.profile), "must hold lists of one length, 3 points or more, distances rising from 0");
  return problems;
}

function isProfile(profile: unknown): boolean {
  if (!isRecord(profile)) return false;
  const { distanceKm, groundAmslM, clutterHeightM } = profile;
  if (!Array.isArray(distanceKm) || distanceKm.length < 3 || distanceKm[0] !== 0) return false;
  const isRising = distanceKm.every((km, i) => isNumber(km) && (i === 0 || km > distanceKm[i - 1]));
  const isHeights = (list: unknown) =>
    Array.isArray(list) && list.length === distanceKm.length && list.every((m) => m === null || isNumber(m));
  return isRising && isHeights(groundAmslM) && (clutterHeightM === undefined || isHeights(clutterHeightM));
}

function isClutterPair(pair: unknown): boolean {
  return isRecord(pair) && [pair.tx, pair.rx].every((name) => typeof name === "string" && name in CLUTTER_ROWS);
}

function isLonLat(place: unknown): boolean {
  if (!isRecord(place)) return false;
  const { lon, lat } = place;
  return isNumber(lon) && isNumber(lat) && Math.abs(lon) <= 360 && Math.abs(lat) <= 90;
}

function isNumber(value: unknown): value is number {
  return typeof value === "number" && Number.isFinite(value);
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
