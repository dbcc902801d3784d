import type { Channel } from "@fellmark/radio";

/** A channel that may be chosen. */
export interface AdviceChannel extends Channel {
  /** In a band where whoever finds a radar must leave the channel. */
  isDfs: boolean;
  /** Asked for; channels that are only in use today are not. */
  isOffered: boolean;
}

/** A sector's use of one channel. */
export interface ChannelUse {
  /** Why the sector may not use it, or null. */
  refusal: string | null;
  /** Power of the sector, and of its CPEs, on this channel over that on today's, linear. */
  downScale: number;
  upScale: number;
  /** Noise at the CPE; noise and scans at the sector. Per chain, mW. */
  noiseDownMw: number;
  noiseUpMw: number;
  down: RateSteps;
  up: RateSteps;
}

/** Rates of one direction. */
export interface RateSteps {
  /** Least SINR of each, linear, rising. */
  sinr: Float64Array;
  netMbps: Float64Array;
}

/** A sector with the places that stand for those it serves. */
export interface AdviceSector {
  id: string;
  site: string;
  azimuthDeg: number;
  /** Number of today's channel. */
  today: number;
  /** True where it may be given another. */
  mayChange: boolean;
  /** By channel. */
  uses: ChannelUse[];
  points: ServedPoints;
  /** Share of a sector's power on channel `from` that counts here on channel `to`: [from * channels + to]. */
  coupling: Float64Array;
  /** The same from an emitter: [emitter * channels + to]. */
  emitterCoupling: Float64Array;
  /** By source (sectors, then emitters): share of this sector's downlink that it is on. 0 for the sector itself. */
  baseOnDown: Float64Array;
  /** By sector: shares of this sector's uplink that its base, and that one of its subscribers, is on. */
  baseOnUp: Float64Array;
  subscriberOnUp: Float64Array;
  /** By sector, on one channel: level of its base and mean level of its subscribers at this sector, mW. */
  baseMw: Float64Array;
  subscriberMw: Float64Array;
  /** By emitter, on this sector's channel: mean level over time at this sector, mW. */
  emitterMw: Float64Array;
}

/** Places of one sector. Levels are per chain, in mW, on today's channel at today's power. */
export interface ServedPoints {
  count: number;
  /** By point and source, [point * sources + source]: level at the CPE aimed at its sector; as if on its channel. */
  levelMw: Float64Array;
  /** By point: level at the sector with the CPE's full power. */
  upMw: Float64Array;
  /** By point: what is left of a signal after fade and confidence margins, linear. */
  margin: Float64Array;
  /** Level that nine tenths of the points reach at the sector after their margins: no channel changes their order. */
  worstUpMw: number;
  /** By point: number of the plan that is sold there, from 1; 0 where nobody is known. */
  plan: Uint8Array;
}

/** The choice of a channel for every sector, apart from the origin of its numbers. */
export interface AdviceProblem {
  channels: AdviceChannel[];
  sectors: AdviceSector[];
  /** Number of emitters; their levels follow those of the sectors. */
  emitters: number;
}

/** By sector: number of its channel, or SILENT. */
export type ChannelPlan = Int16Array;

/** A sector that does not send. */
export const SILENT = -1;

export function readTodaysPlan({ sectors }: AdviceProblem): ChannelPlan {
  return Int16Array.from(sectors, ({ today }) => today);
}

/** Numbers of the channels that a sector may be given. */
export function listChoices({ channels, sectors }: AdviceProblem, sector: number): number[] {
  const { mayChange, uses } = sectors[sector];
  return channels.flatMap(({ isOffered }, channel) =>
    mayChange && isOffered && uses[channel].refusal === null ? [channel] : [],
  );
}

/** True where two channels share any frequency. */
export function doesOverlap(a: Channel, b: Channel): boolean {
  return Math.abs(a.centreMhz - b.centreMhz) < (a.widthMhz + b.widthMhz) / 2;
}

/** Bands where radars have the first right, MHz. Source: ETSI EN 301 893 V2.1.1, 4.2.6.1; 47 CFR 15.407(h)(2). */
const DFS_BANDS_MHZ = [
  { from: 5250, to: 5350 },
  { from: 5470, to: 5725 },
];

export function isDfsChannel({ centreMhz, widthMhz }: Channel): boolean {
  return DFS_BANDS_MHZ.some(({ from, to }) => centreMhz + widthMhz / 2 > from && centreMhz - widthMhz / 2 < to);
}
