import { RAD_PER_DEG, toRatio } from "@fellmark/units";

/** The pair of polarisations of an antenna's ports: horizontal and vertical, or both at 45 degrees. */
export type PolarisationBasis = "hv" | "slant45";

/** Direction of port 0 seen along the ray, degrees; port 1 is 90 degrees further. */
const PORT_0_DEG: Readonly<Record<PolarisationBasis, number>> = { hv: 0, slant45: 45 };

export interface PolarisationInput {
  fromBasis: PolarisationBasis;
  toBasis: PolarisationBasis;
  /** Turn of the transmitter about the ray, clockwise seen from behind it. */
  rollDeg?: number;
  /** Level of a port's co-polar field over its cross-polar field toward the ray, dB. */
  xpdDb: number;
}

/** Rows: ports of the receiver; columns: ports of the transmitter. Linear power relative to that at co-polar gain. */
export type PolarisationCoupling = readonly [readonly [number, number], readonly [number, number]];

/**
 * Returns the power that each port of the receiver gets from each port of the transmitter. Both ends are seen along the
 * ray, so that equal bases meet port to port. The cross-polar field adds to the co-polar one as power: its phase is not known.
 * Source: A. Ludwig, "The definition of cross polarization", IEEE Trans. AP-21 (1973), for the co-polar and cross-polar
 * fields; their projections on the receiver's ports are geometry.
 * Examples: hv to hv at 25 dB: 1 and 0.00316; hv to slant45: 1/2 everywhere, no protection; hv to hv
 * rolled by 10 degrees with no cross-polar field: 20 log10 tan 10 = -15.1 dB between the ports.
 */
export function computePolarisationCoupling(input: PolarisationInput): PolarisationCoupling {
  const { fromBasis, toBasis, rollDeg = 0, xpdDb } = input;
  const turnRad = (PORT_0_DEG[fromBasis] + rollDeg - PORT_0_DEG[toBasis]) * RAD_PER_DEG;
  const along = Math.cos(turnRad) ** 2;
  const across = Math.sin(turnRad) ** 2;
  const cross = toRatio(-xpdDb);
  const own = along + across * cross;
  const other = across + along * cross;
  return [
    [own, other],
    [other, own],
  ];
}
