import { computeWavelengthM, InputError, RAD_PER_DEG } from "@fellmark/units";
import type { AntennaPattern, Port } from "../pattern.ts";
import { type FieldGrid, findGreatestPower, interpolatePower, type RowField, sampleSphere } from "./field-grid.ts";
import { createSynthesisedPattern, type SynthesisOptions } from "./synthesised-pattern.ts";

/** Far field of an antenna of any shape, zero phase at its centre, so that it turns slowly with the angle. */
export interface GridSource {
  widthM: number;
  heightM: number;
  /** Field along one elevation; called slightly beyond -90 and 90 degrees too. */
  row(elevationRad: number, port: Port): RowField;
}

/** Phase step at the edge from node to node: cubic interpolation is within 0.03 dB down to 30 dB below the peak. */
const STEP_AT_EDGE_RAD = 0.4;
/** Widest step for a single element. */
const WIDEST_STEP_RAD = 2.5 * RAD_PER_DEG;
/** 16 MB per port. */
const MOST_NODES = 1_000_000;

/**
 * Returns a pattern from its far field, sampled once over the sphere and read by cubic interpolation of the complex
 * field, which is smooth where the level in dB is not. Gain is the directivity by integration over the sphere, cross-polar
 * and scattered power included, less the loss; each port on its own.
 * Accuracy: 0.05 dB where the gain is above the peak less 30 dB.
 * @param pointer JSON pointer of the description, for the error.
 * Throws InputError where the antenna is too many wavelengths large.
 */
export function createGridPattern(source: GridSource, options: SynthesisOptions, pointer: string): AntennaPattern {
  checkSize(source, options.frequencyGhz, pointer);
  const lattice = chooseLattice(source, computeWavelengthM(options.frequencyGhz));
  const ports = ([0, 1] as const).map((port) => {
    const { grid, meanPower } = sampleSphere((elevationRad) => source.row(elevationRad, port), lattice);
    return { grid, meanPower, peak: findGreatestPower(grid) / meanPower };
  });
  const toward = (polarisation: "co" | "cross", azimuthDeg: number, elevationDeg: number, port: Port): number =>
    interpolatePower(ports[port].grid, polarisation, azimuthDeg, elevationDeg) / ports[port].meanPower;
  return createSynthesisedPattern({ peak: Math.max(ports[0].peak, ports[1].peak), toward }, options);
}

type Size = Pick<GridSource, "widthM" | "heightM">;

/** Throws InputError where an antenna is too many wavelengths large. */
export function checkSize({ widthM, heightM }: Size, frequencyGhz: number, pointer: string): void {
  const lambdaM = computeWavelengthM(frequencyGhz);
  const { columns, rows } = chooseLattice({ widthM, heightM }, lambdaM);
  if (columns * rows <= MOST_NODES) return;
  const wavelengths = `${(widthM / lambdaM).toFixed(1)} by ${(heightM / lambdaM).toFixed(1)}`;
  const detail = `${wavelengths} wavelengths are too large for a full sphere`;
  throw new InputError([{ pointer, detail, limit: `${MOST_NODES} directions` }]);
}

/** Returns the steps over the sphere; toward the zenith the width, too, turns the phase with the elevation. */
function chooseLattice({ widthM, heightM }: Size, lambdaM: number): Pick<FieldGrid, "columns" | "rows"> {
  const stepFor = (sizeM: number): number =>
    Math.min(WIDEST_STEP_RAD, STEP_AT_EDGE_RAD / ((Math.PI * sizeM) / lambdaM));
  const columns = Math.ceil((2 * Math.PI) / stepFor(widthM));
  const rows = Math.ceil(Math.PI / stepFor(Math.max(widthM, heightM)));
  return { columns, rows };
}
