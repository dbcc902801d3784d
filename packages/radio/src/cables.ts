import { InputError } from "@fellmark/units";

/** A class of coaxial cable of 50 ohm by its outer size: loss in dB per 100 m is k1 sqrt(f) + k2 f, f in GHz. */
export interface Cable {
  id: string;
  title: string;
  k1: number;
  k2: number;
}

/**
 * Fitted to losses at 0.9, 2.4, 3.6 and 5.8 GHz of foam cables as they are listed, within 0.35 dB per 100 m.
 * Common practice, no source: use the data sheet of the cable where it matters.
 */
export const CABLES: readonly Cable[] = [
  { id: "foam-5mm", title: "foam coax, 5 mm", k1: 36.66, k2: 1.7 },
  { id: "foam-6mm", title: "foam coax, 6 mm", k1: 25.62, k2: 0.92 },
  { id: "foam-10mm", title: "foam coax, 10 mm", k1: 13.02, k2: 0.7 },
  { id: "foam-15mm", title: "foam coax, 15 mm", k1: 7.44, k2: 1.05 },
];

/** Loss of a connector, dB. Common practice, no source: 0.1 to 0.2. */
const CONNECTOR_LOSS_DB = 0.15;

/** A feeder between radio and antenna. */
export interface Feeder {
  /** Id of a row of CABLES. */
  cable: string;
  lengthM: number;
  connectors: number;
}

/**
 * Returns the loss of a feeder with its connectors, dB.
 * @param pointer JSON pointer of the feeder, for the error.
 * Throws InputError for a cable that is not known.
 * Example: 30 m of 10 mm at 5.8 GHz with two connectors lose 10.9 dB: radios therefore sit at the antenna.
 */
export function computeFeederLossDb(
  { cable, lengthM, connectors }: Feeder,
  frequencyGhz: number,
  pointer = "",
): number {
  const row = CABLES.find(({ id }) => id === cable);
  if (row === undefined) {
    const limit = CABLES.map(({ id }) => id).join(", ");
    throw new InputError([{ pointer: `${pointer}/cable`, detail: `there is no cable "${cable}"`, limit }]);
  }
  const per100mDb = row.k1 * Math.sqrt(frequencyGhz) + row.k2 * frequencyGhz;
  return (per100mDb * lengthM) / 100 + connectors * CONNECTOR_LOSS_DB;
}
