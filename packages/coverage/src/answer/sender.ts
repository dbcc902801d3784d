import type { AntennaPattern, Pointing, Port } from "@fellmark/antenna";
import type { ModelSpec, SectorSpec } from "@fellmark/network";
import type { PathClass } from "@fellmark/propagation";
import { ratioFromDb } from "@fellmark/units";
import { sectorBiasDb } from "../link/correction.ts";
import { receivedGainDbi } from "../link/received-pattern.ts";
import { scatteredGain, type Transmitter } from "../link/transmitters.ts";

/** A sector or an emitter, apart from the place that hears it. */
export interface Sender {
  /** Among all: sectors in their order, then emitters. */
  number: number;
  /** Null for an emitter. */
  sector: SectorSpec | null;
  heightAglM: number;
  frequencyGhz: number;
  pointing: Pointing;
  /** Gain that a port of the kit meets, by the direction seen from the antenna. */
  gainDbi: AntennaPattern["gainDbi"];
  peakGainDbi: number;
  /** What obstacles scatter into every direction, linear, by class of the path. */
  scattered: Scattered;
  /** Level before antenna gain, path loss, gas and the kit's clutter; what own links taught of the sector is off. */
  baseDbm: number;
  gasDbPerKm: number;
}

export type Scattered = Readonly<Record<PathClass, number>>;

export function senderOf(
  model: ModelSpec,
  number: number,
  sector: SectorSpec | undefined,
  transmitter: Transmitter,
): Sender {
  const { pattern, pointing, feed, heightAglM, frequencyGhz, baseDbm, gasDbPerKm } = transmitter;
  return {
    number,
    sector: sector ?? null,
    heightAglM,
    frequencyGhz,
    pointing,
    gainDbi: receivedGainDbi(pattern, feed),
    peakGainDbi: pattern.peakGainDbi,
    scattered: scatteredBy(model, pattern.peakGainDbi),
    baseDbm: baseDbm - sectorBiasDb(model, sector?.id),
    gasDbPerKm,
  };
}

export function scatteredBy(model: ModelSpec, peakGainDbi: number): Scattered {
  const of = (sight: PathClass) => scatteredGain(model, peakGainDbi, sight);
  return { clear: of("clear"), grazing: of("grazing"), blocked: of("blocked") };
}

/** Loss that a blocked path has at least, dB. Source: ITU-R P.526-15, section 4.1: an edge on the sight line. */
const BLOCKED_LOSS_DB = 6;

/** Greatest share of the scattered gain that reaches a place, whatever the class of its path turns out to be. */
export function greatestScattered({ clear, grazing, blocked }: Scattered): number {
  return Math.max(clear, grazing, blocked * ratioFromDb(-BLOCKED_LOSS_DB));
}

export type Ports = readonly Port[];
