export interface LocationVariabilityInput {
  frequencyGhz: number;
  /** Width of the square over which places vary, m, 50 to 1000. */
  widthM: number;
  antennaHeightAglM: number;
  /** Representative height of the clutter around the antenna, m. */
  clutterHeightM: number;
}

/**
 * Standard deviation of the loss from place to place inside one square, dB. It is that spread alone: never the error
 * of a prediction, so not the sigma of a confidence margin.
 * Source: ITU-R P.1812-6, sections 4.8 and 4.10, eqs (66) and (67): none where the antenna stands 10 m over clutter.
 * Valid for: 30 MHz to 6 GHz. Example: 0.6 GHz, 50 m, antenna 1.5 m in clutter of 10 m: 1.598 dB.
 */
export function computeLocationVariabilityDb(input: LocationVariabilityInput): number {
  const { frequencyGhz, widthM, antennaHeightAglM, clutterHeightM } = input;
  const overClutterM = antennaHeightAglM - clutterHeightM;
  const share = Math.min(Math.max(1 - overClutterM / 10, 0), 1);
  return (0.52 + 0.024 * frequencyGhz) * widthM ** 0.28 * share;
}
