import { toAntennaFrame } from "@fellmark/antenna";
import { computeDiscrimination, type Overlap } from "@fellmark/coverage";
import { toMilliwatts, toRatio } from "@fellmark/units";
import type { Arrival } from "../reception/arrival.ts";
import type { CpeView } from "../scene/scene.ts";
import type { Station } from "../scene/station.ts";

/** An interferer that comes and goes: its level while it is on, and the share of the time that it is. */
export interface Intermittent {
  onMw: number;
  onShare: number;
  isOwnSite: boolean;
  /** Spread of its path, dB. */
  sigmaDb: number;
}

/** Mean interference per chain at one port of a CPE that is aimed at its sector, mW. */
export interface Interference {
  /** From the wanted sector's own site: it fades and fails together with the signal. */
  ownSiteMw: number;
  otherSitesMw: number;
  emittersMw: number;
  /** Steady interference, by path that the signal does not share: senders of one mast share a path. */
  paths: InterferingPath[];
  /** Those of all three that come and go. */
  intermittent: Intermittent[];
}

/** Level of the senders of one mast of a station, mW, and the error of their path. */
export interface InterferingPath {
  station: Station;
  heightAglM: number;
  levelMw: number;
  sigmaDb: number;
}

export function createInterference(): Interference {
  return { ownSiteMw: 0, otherSitesMw: 0, emittersMw: 0, paths: [], intermittent: [] };
}

/** Mean of all interference at the CPE, mW. */
export function sumInterferenceMw({ ownSiteMw, otherSitesMw, emittersMw }: Interference): number {
  return ownSiteMw + otherSitesMw + emittersMw;
}

/** The direction that a CPE is aimed in: along the ray to the mast of its sector. */
export interface Aim {
  wanted: Arrival;
  overlap: Overlap;
  /** Spread of an arrival, dB. */
  findSigmaDb(arrival: Arrival): number;
}

/** Adds what arrivals bring to a CPE while it is aimed at `wanted`, to the sums of its ports. */
export function addInterference(
  view: CpeView,
  { wanted, overlap, findSigmaDb }: Aim,
  arrivals: readonly Arrival[],
  sums: readonly Interference[],
): void {
  const ownSite = wanted.route.station.site;
  let gainFor: Arrival["loss"] | null = null;
  let gains: number[] = [];
  for (const other of arrivals) {
    const { number } = other.sender;
    const onShare = overlap.baseOnDown[number];
    const share = overlap.shareDown[number];
    if (other === wanted || share * onShare === 0) continue;
    const { site } = other.route.station;
    const isOwnSite = site === ownSite;
    // The senders of one mast and frequency come along one ray.
    if (!isOwnSite && gainFor !== other.loss) {
      gains = view.ports.map((port) => findDiscrimination(view, wanted, other, port));
      gainFor = other.loss;
    }
    for (const [index, sum] of sums.entries()) {
      const onMw = toMilliwatts(other.levelDbm[index]) * share * (isOwnSite ? 1 : gains[index]);
      if (isOwnSite) sum.ownSiteMw += onMw * onShare;
      else if (site === null) sum.emittersMw += onMw * onShare;
      else sum.otherSitesMw += onMw * onShare;
      if (onShare < 1) sum.intermittent.push({ onMw, onShare, isOwnSite, sigmaDb: findSigmaDb(other) });
      else if (!isOwnSite) addToPath(sum.paths, other, onMw, findSigmaDb);
    }
  }
}

/** Senders of one mast follow each other, so that the path of the last one is looked at first. */
function addToPath(paths: InterferingPath[], other: Arrival, levelMw: number, findSigmaDb: Aim["findSigmaDb"]): void {
  const { station } = other.route;
  const { heightAglM } = other.sender;
  const known = paths.findLast((path) => path.station === station && path.heightAglM === heightAglM);
  if (known) known.levelMw += levelMw;
  else paths.push({ station, heightAglM, levelMw, sigmaDb: findSigmaDb(other) });
}

/** Gain of the CPE toward another mast over its gain at its aim; the pointing loss does not hold off the aim. */
export function findDiscrimination(view: CpeView, wanted: Arrival, other: Arrival, port: 0 | 1): number {
  const toOther = other.route.path.backAzimuthDeg;
  const gain = findGainOffAim(view, wanted, toOther, other.loss.arrivalElevationDeg, port);
  return computeDiscrimination(gain, view.scattered[other.loss.class], computePerGainAtAim(view));
}

/** Gain of the CPE in a direction, linear; where directions are not known, that at its aim. */
function findGainOffAim(
  { pattern }: CpeView,
  { route, loss }: Arrival,
  azimuthDeg: number | null,
  elevationDeg: number,
  port: 0 | 1,
): number {
  const aimDeg = route.path.backAzimuthDeg;
  if (aimDeg === null || azimuthDeg === null) return toRatio(pattern.peakGainDbi);
  const aim = { azimuthDeg: aimDeg, downtiltDeg: -loss.arrivalElevationDeg };
  const seen = toAntennaFrame(azimuthDeg, elevationDeg, aim);
  return toRatio(pattern.gainDbi(seen.azimuthDeg, seen.elevationDeg, port));
}

/** Greatest gain of the CPE, aimed at its sector, toward an azimuth over its gain at its aim. */
export function boundGainToward(view: CpeView, { route }: Arrival, azimuthDeg: number): number {
  const aimDeg = route.path.backAzimuthDeg ?? azimuthDeg;
  return view.levelGain((azimuthDeg - aimDeg + 360) % 360) * computePerGainAtAim(view);
}

/** Levels hold the CPE's peak gain and its pointing loss: what a gain off the aim is multiplied with. */
function computePerGainAtAim({ request, pattern }: CpeView): number {
  return toRatio(request.cpe.pointingLossDb - pattern.peakGainDbi);
}
