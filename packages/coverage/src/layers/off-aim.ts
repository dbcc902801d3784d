import { toAntennaFrame } from "@fellmark/antenna";
import { type GainTable, tabulatedGainDbi } from "./gain-table.ts";

/**
 * Gain of a kit toward another mast while it is aimed at its own, dBi: its axis lies along the ray to its own mast,
 * without roll. All angles in degrees, azimuths true, elevations those of the rays at the kit.
 * @param table the pattern of the kit, not mounted.
 */
export function offAimGainDbi(
  table: GainTable,
  aimAzimuthDeg: number,
  aimElevationDeg: number,
  otherAzimuthDeg: number,
  otherElevationDeg: number,
): number {
  const aim = { azimuthDeg: aimAzimuthDeg, downtiltDeg: -aimElevationDeg };
  const { azimuthDeg, elevationDeg } = toAntennaFrame(otherAzimuthDeg, otherElevationDeg, aim);
  return tabulatedGainDbi(table, azimuthDeg < 0 ? azimuthDeg + 360 : azimuthDeg, elevationDeg);
}
