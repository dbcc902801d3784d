import { type AntennaPattern, type Port, toAntennaFrame } from "@fellmark/antenna";
import type { CoverageRequest } from "@fellmark/network";
import { dbFromRatio, milliwattsFromDbm, ratioFromDb } from "@fellmark/units";
import type { Overlap } from "../link/overlap.ts";
import { receivedGainDbi } from "../link/received-pattern.ts";
import { scatteredGain, type Transmitter } from "../link/transmitters.ts";
import type { MastPath, PathLoss } from "./mast-path.ts";

/** What one transmitter (sector or emitter) brings to a place, per chain, at a kit aimed at it. */
export interface Arrival {
  /** Number among the transmitters: sectors, then emitters. */
  source: number;
  /** Its site; null for an emitter. */
  site: string | null;
  path: MastPath;
  loss: PathLoss;
  /** By port of the kit: gain toward the place with what obstacles scatter, dBi. */
  gainDbi: [number, number];
  levelDbm: [number, number];
  /** How much less than at its peak the antenna gives this way, dB. */
  gainBelowPeakDb: number;
}

/** A place without coordinates is taken to lie on the azimuth of the antenna. */
export function arrivalOf(
  { model }: CoverageRequest,
  source: number,
  transmitter: Transmitter,
  path: MastPath,
  loss: PathLoss,
): Arrival {
  const { pattern, pointing, feed, site, baseDbm, gasDbPerKm } = transmitter;
  const { geometry, freeSpaceDb, diffractionDb, slantM } = loss;
  const seen = toAntennaFrame(path.azimuthDeg ?? pointing.azimuthDeg, geometry.departureElevationDeg, pointing);
  const gainOf = receivedGainDbi(pattern, feed);
  const scattered = scatteredGain(model, pattern.peakGainDbi, geometry.class);
  const gainDbi = ([0, 1] as const).map((port) =>
    dbFromRatio(ratioFromDb(gainOf(seen.azimuthDeg, seen.elevationDeg, port)) + scattered),
  ) as [number, number];
  const withoutGainDbm = baseDbm - freeSpaceDb - diffractionDb - (gasDbPerKm * slantM) / 1000;
  return {
    source,
    site,
    path,
    loss,
    gainDbi,
    levelDbm: [withoutGainDbm + gainDbi[0], withoutGainDbm + gainDbi[1]],
    gainBelowPeakDb: pattern.peakGainDbi - gainDbi[0],
  };
}

/** An interferer that comes and goes: its level while it is on, and the share of the time that it is. */
export interface Intermittent {
  onMw: number;
  onShare: number;
  isOwnSite: boolean;
}

/** Mean interference per chain at the kit while it is aimed at `wanted`, mW. */
export interface Interference {
  /** From the wanted sector's own site: it fades and fails together with the signal. */
  ownSiteMw: number;
  otherSitesMw: number;
  strangersMw: number;
  /** Those of all three that come and go. */
  intermittent: Intermittent[];
}

/** The kit as interference meets it. */
export interface Kit {
  pattern: AntennaPattern;
  pointingLossDb: number;
  model: CoverageRequest["model"];
}

export function interferenceAt(
  wanted: Arrival,
  arrivals: readonly Arrival[],
  { shareDown: share, baseOnDown }: Overlap,
  kit: Kit,
  port: Port,
): Interference {
  const sum: Interference = { ownSiteMw: 0, otherSitesMw: 0, strangersMw: 0, intermittent: [] };
  for (const other of arrivals) {
    const onShare = baseOnDown[other.source];
    if (other === wanted || share[other.source] * onShare === 0) continue;
    const isOwnSite = other.site === wanted.site;
    const gain = isOwnSite ? 1 : discrimination(wanted, other, kit, port);
    const onMw = milliwattsFromDbm(other.levelDbm[port]) * share[other.source] * gain;
    if (isOwnSite) sum.ownSiteMw += onMw * onShare;
    else if (other.site === null) sum.strangersMw += onMw * onShare;
    else sum.otherSitesMw += onMw * onShare;
    if (onShare < 1) sum.intermittent.push({ onMw, onShare, isOwnSite });
  }
  return sum;
}

/** Gain of the kit toward another mast over its gain toward its own; the pointing loss does not hold off the aim. */
function discrimination(wanted: Arrival, other: Arrival, kit: Kit, port: Port): number {
  const pointing = ratioFromDb(kit.pointingLossDb);
  if (wanted.path.backAzimuthDeg === null || other.path.backAzimuthDeg === null) return pointing;
  const aim = {
    azimuthDeg: wanted.path.backAzimuthDeg,
    downtiltDeg: -wanted.loss.geometry.arrivalElevationDeg,
  };
  const seen = toAntennaFrame(other.path.backAzimuthDeg, other.loss.geometry.arrivalElevationDeg, aim);
  const { peakGainDbi } = kit.pattern;
  const gain = ratioFromDb(kit.pattern.gainDbi(seen.azimuthDeg, seen.elevationDeg, port));
  const scattered = scatteredGain(kit.model, peakGainDbi, other.loss.geometry.class);
  return ((gain + scattered) / ratioFromDb(peakGainDbi)) * pointing;
}
