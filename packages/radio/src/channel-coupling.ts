import { toDb, toRatio } from "@fellmark/units";

export interface Channel {
  centreMhz: number;
  widthMhz: number;
}

/**
 * Ratios of the power in a channel to the part of it that counts in another channel of the same width, dB: adjacent,
 * second adjacent, and beyond. They combine leakage of the transmitter and selectivity of the receiver.
 * Source: 23 and 39 follow from IEEE Std 802.11-2020, section 21.3.18 (3 dB over sensitivity, rejection, and the
 * ratio of signal to noise sum to 22.9-23.0 and 38.9-39.0 at every rate and width). 55: common practice, no source.
 */
export const ADJACENT_CHANNEL_DB = { adjacent: 23, secondAdjacent: 39, beyond: 55 } as const;

/** Adjacent-channel leakage ratio of a transmitter and selectivity of a receiver, as their data sheets state them, dB. */
export interface Acir {
  leakageDb: number;
  selectivityDb: number;
}

/**
 * Returns the ratio for the adjacent channel from leakage and selectivity: both let power in, so their ratios add.
 * Source: 3GPP TR 36.942, section 4.1: ACIR = 1 / (1 / ACLR + 1 / ACS). Example: 27 and 27 dB give 24.
 */
export function computeAcirDb({ leakageDb, selectivityDb }: Acir): number {
  return -toDb(toRatio(-leakageDb) + toRatio(-selectivityDb));
}

/** Returns the power density relative to that in the channel, by distance from the centre in channel widths. */
function createMask(adjacentDb: number) {
  const { secondAdjacent, beyond } = ADJACENT_CHANNEL_DB;
  return [
    { fromWidths: 0, toWidths: 0.5, density: 1 },
    { fromWidths: 0.5, toWidths: 1.5, density: toRatio(-adjacentDb) },
    { fromWidths: 1.5, toWidths: 2.5, density: toRatio(-Math.max(secondAdjacent, adjacentDb)) },
    { fromWidths: 2.5, toWidths: Infinity, density: toRatio(-Math.max(beyond, adjacentDb)) },
  ];
}

const STANDARD_MASK = createMask(ADJACENT_CHANNEL_DB.adjacent);

/**
 * Returns the share of the interferer's power, linear, that counts in the victim's channel: the mask of the interferer, flat in
 * its channel and stepped by its width outside, integrated over the victim's channel. Never 0, at most 1.
 * @param acir of the two radios; absent: by the standard.
 * Examples: the same channel 1; half a channel off 0.5025; a 40 MHz interferer over a 20 MHz victim 0.5; next to it
 * 10^-2.3 where the widths are equal.
 */
export function computeChannelCoupling(interferer: Channel, victim: Channel, acir?: Acir): number {
  const low = (victim.centreMhz - victim.widthMhz / 2 - interferer.centreMhz) / interferer.widthMhz;
  const high = (victim.centreMhz + victim.widthMhz / 2 - interferer.centreMhz) / interferer.widthMhz;
  let share = 0;
  for (const { fromWidths, toWidths, density } of acir ? createMask(computeAcirDb(acir)) : STANDARD_MASK) {
    const above = Math.min(high, toWidths) - Math.max(low, fromWidths);
    const below = Math.min(high, -fromWidths) - Math.max(low, -toWidths);
    share += density * (Math.max(above, 0) + Math.max(below, 0));
  }
  return Math.min(share, 1);
}
