export interface Modulation {
  name: string;
  /** Coded bits per carrier and stream. */
  bits: number;
  /** Code rate as numerator and denominator. */
  code: readonly [number, number];
  /** Least level for 10 % packet errors of 4096 octets on 20 MHz, dBm; 3 dB more for each doubling of the width. */
  sensitivityDbm: number;
}

/**
 * Modulations by index. 802.11n uses 0 to 7, 802.11ac 0 to 9, 802.11ax all.
 * Source: IEEE Std 802.11-2020, table 21-25 (receiver minimum input sensitivity); indices 10 and 11 IEEE Std
 * 802.11ax-2021, table 27-51. The texts were not read: the values stand in several transcriptions that agree.
 */
export const MODULATIONS: readonly Modulation[] = [
  { name: "BPSK 1/2", bits: 1, code: [1, 2], sensitivityDbm: -82 },
  { name: "QPSK 1/2", bits: 2, code: [1, 2], sensitivityDbm: -79 },
  { name: "QPSK 3/4", bits: 2, code: [3, 4], sensitivityDbm: -77 },
  { name: "16-QAM 1/2", bits: 4, code: [1, 2], sensitivityDbm: -74 },
  { name: "16-QAM 3/4", bits: 4, code: [3, 4], sensitivityDbm: -70 },
  { name: "64-QAM 2/3", bits: 6, code: [2, 3], sensitivityDbm: -66 },
  { name: "64-QAM 3/4", bits: 6, code: [3, 4], sensitivityDbm: -65 },
  { name: "64-QAM 5/6", bits: 6, code: [5, 6], sensitivityDbm: -64 },
  { name: "256-QAM 3/4", bits: 8, code: [3, 4], sensitivityDbm: -59 },
  { name: "256-QAM 5/6", bits: 8, code: [5, 6], sensitivityDbm: -57 },
  { name: "1024-QAM 3/4", bits: 10, code: [3, 4], sensitivityDbm: -54 },
  { name: "1024-QAM 5/6", bits: 10, code: [5, 6], sensitivityDbm: -52 },
];

/** Receiver behind the standard's sensitivities: k T0 on 20 MHz, rounded, and the losses that the standard allows. */
const STANDARD_RECEIVER = { thermalDbm: -101, noiseFigureDb: 10, implementationDb: 5 };

/**
 * Returns the signal-to-noise ratio that a modulation needs, dB: its sensitivity over the noise of the standard's receiver
 * (noise figure 10 dB, implementation 5 dB). The same on every width. Example: index 11 needs 34 dB.
 */
export function findModulationSnrDb(index: number): number {
  const { thermalDbm, noiseFigureDb, implementationDb } = STANDARD_RECEIVER;
  return MODULATIONS[index].sensitivityDbm - thermalDbm - noiseFigureDb - implementationDb;
}
