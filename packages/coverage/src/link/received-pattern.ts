import type { AntennaPattern, Port } from "@fellmark/antenna";
import { computePolarisationCoupling, type PolarisationBasis } from "@fellmark/radio";
import { DEG_PER_RAD, toDb } from "@fellmark/units";

/**
 * Cross-polar discrimination of an antenna whose cross-polar pattern is not known, in its beam and outside.
 * Common practice, no source.
 */
const DEFAULT_DISCRIMINATION_DB = { inBeam: 25, outside: 10 } as const;

/** Level below the peak down to which a direction counts as in the beam, dB. */
const BEAM_EDGE_DB = 10;

/** Feed of a transmitter's antenna, and the angle of its polarisations to those of the receiver. */
export interface Feed {
  chains: 1 | 2;
  fromBasis: PolarisationBasis;
  toBasis: PolarisationBasis;
  rollDeg: number;
}

/**
 * Gain that a port of the receiver meets, per chain of the transmitter, dBi: two chains reach either port alike,
 * whatever the bases; a single one reaches both as its polarisation lies to theirs.
 */
export function createReceivedGain(pattern: AntennaPattern, { chains, ...bases }: Feed) {
  return (azimuthDeg: number, elevationDeg: number, port: Port): number => {
    if (chains === 2) return pattern.gainDbi(azimuthDeg, elevationDeg, port);
    const ownDbi = pattern.gainDbi(azimuthDeg, elevationDeg, 0);
    const xpdDb = ownDbi - findCrossGainDbi(pattern, azimuthDeg, elevationDeg, ownDbi);
    return ownDbi + toDb(computePolarisationCoupling({ ...bases, xpdDb })[port][0]);
  };
}

function findCrossGainDbi(pattern: AntennaPattern, azimuthDeg: number, elevationDeg: number, ownDbi: number): number {
  if (pattern.crossGainDbi) return pattern.crossGainDbi(azimuthDeg, elevationDeg, 0);
  const { inBeam, outside } = DEFAULT_DISCRIMINATION_DB;
  return ownDbi - (ownDbi >= pattern.peakGainDbi - BEAM_EDGE_DB ? inBeam : outside);
}

/** Directions on a sphere at which the two ports of a pattern are compared. */
const PROBES = Array.from({ length: 200 }, (_, index) => ({
  azimuthDeg: ((index * 137.508) % 360) - 180,
  elevationDeg: Math.asin((2 * index + 1) / 200 - 1) * DEG_PER_RAD,
}));

/** True where the ports of a pattern differ anywhere that matters. */
export function hasUnequalPorts(pattern: AntennaPattern): boolean {
  return PROBES.some(({ azimuthDeg, elevationDeg }) => {
    return pattern.gainDbi(azimuthDeg, elevationDeg, 0) !== pattern.gainDbi(azimuthDeg, elevationDeg, 1);
  });
}
