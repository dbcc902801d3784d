/** One rate of a radio on a channel. */
export interface RateRow {
  /** Index of the modulation in its table, from 0. */
  index: number;
  name: string;
  /** Least ratio of signal to noise + interference, dB, before implementation loss. */
  snrDb: number;
  /** Rate with all streams, both directions together, Mbit/s. */
  phyMbps: number;
}
