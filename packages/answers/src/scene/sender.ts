import { type AntennaPattern, type Pointing, type Port, toAntennaFrame } from "@fellmark/antenna";
import {
  computePathCalibrationDb,
  computeScatteredGain,
  createReceivedGain,
  findSectorBiasDb,
  type Transmitter,
} from "@fellmark/coverage";
import type { ModelSpec, SectorSpec } from "@fellmark/network";
import { MAX_REACH_M } from "@fellmark/network";
import { computeFreeSpaceLossDb, type PathClass } from "@fellmark/propagation";
import { toMilliwatts, toRatio } from "@fellmark/units";

/** A sector or an emitter, apart from the place that hears it. */
export interface Sender {
  /** Among all: sectors in their order, then emitters. */
  number: number;
  /** Null for an emitter. */
  sector: SectorSpec | null;
  heightAglM: number;
  frequencyGhz: number;
  pointing: Pointing;
  /** Gain that a port of the CPE meets, by the direction seen from the antenna. */
  gainDbi: AntennaPattern["gainDbi"];
  peakGainDbi: number;
  /** Power that obstacles scatter into every direction, linear, by class of the path. */
  scattered: Scattered;
  /** Greatest gain over all ports and whatever is scattered, linear, toward an azimuth on the level. */
  levelGain(azimuthDeg: number): number;
  /** Level before antenna gain, path loss, gas and the CPE's clutter; what own links taught of the sector is off. */
  baseDbm: number;
  gasDbPerKm: number;
  /** Most that it brings without antenna gain over 1 km of free space, mW; own links may have taught of less loss. */
  freeMwAtKm: number;
}

export type Scattered = Readonly<Record<PathClass, number>>;

export function createSender(
  model: ModelSpec,
  number: number,
  sector: SectorSpec | undefined,
  transmitter: Transmitter,
): Sender {
  const { pattern, pointing, feed, heightAglM, frequencyGhz, baseDbm, gasDbPerKm } = transmitter;
  const gainDbi = createReceivedGain(pattern, feed);
  const senderDbm = baseDbm - findSectorBiasDb(model, sector?.id);
  const scattered = computeScattered(model, pattern);
  return {
    number,
    sector: sector ?? null,
    heightAglM,
    frequencyGhz,
    pointing,
    gainDbi,
    peakGainDbi: pattern.peakGainDbi,
    scattered,
    levelGain: createLevelGain(gainDbi, pointing, scattered),
    baseDbm: senderDbm,
    gasDbPerKm,
    freeMwAtKm: toMilliwatts(senderDbm - computeFreeSpaceLossDb(1000, frequencyGhz) - findLeastCalibrationDb(model)),
  };
}

/** Least that own links add to the loss of a path of whatever class and length, dB: 0 or below. */
function findLeastCalibrationDb(model: ModelSpec): number {
  const ofClass = (sight: PathClass) =>
    [1, MAX_REACH_M].map((distanceM) => computePathCalibrationDb(model, sight, distanceM));
  return Math.min(0, ...ofClass("clear"), ...ofClass("grazing"), ...ofClass("blocked"));
}

/**
 * Greatest gain over both ports, with the most that is scattered, toward an azimuth on the level. Tabulated by whole
 * degrees once somebody asks; the greater of the two beside an azimuth.
 */
export function createLevelGain(
  gainDbi: AntennaPattern["gainDbi"],
  pointing: Pointing,
  scattered: Scattered,
): (azimuthDeg: number) => number {
  const scatteredGain = findGreatestScattered(scattered);
  let table: Float64Array | undefined;
  const gainAt = (azimuthDeg: number) => {
    const seen = toAntennaFrame(azimuthDeg, 0, pointing);
    const greatestDbi = Math.max(...PORTS.map((port) => gainDbi(seen.azimuthDeg, seen.elevationDeg, port)));
    return toRatio(greatestDbi) + scatteredGain;
  };
  return (azimuthDeg) => {
    table ??= Float64Array.from({ length: 361 }, (_, degree) => gainAt(degree));
    const degree = Math.floor(azimuthDeg);
    return Math.max(table[degree], table[degree + 1]);
  };
}

export function computeScattered(model: ModelSpec, pattern: AntennaPattern): Scattered {
  const of = (sight: PathClass) => computeScatteredGain(model, pattern, sight);
  return { clear: of("clear"), grazing: of("grazing"), blocked: of("blocked") };
}

/** Loss that a blocked path has at least, dB. Source: ITU-R P.526-15, section 4.1: an edge on the sight line. */
const BLOCKED_LOSS_DB = 6;

/** Greatest share of the scattered gain that reaches a place, whatever the class of its path turns out to be. */
function findGreatestScattered({ clear, grazing, blocked }: Scattered): number {
  return Math.max(clear, grazing, blocked * toRatio(-BLOCKED_LOSS_DB));
}

export type Ports = readonly Port[];

const PORTS: Ports = [0, 1];
