import type { AntennaPlane, AntennaToDraw } from "@fellmark/picture";
import type { AntennaParameters } from "../measure/measure-antenna.ts";
import { createAzimuthCut, createElevationCut } from "../measure/plane-cuts.ts";
import type { AntennaPattern, Port } from "../pattern.ts";
import { listMissingEfficiencies, measureTable } from "./measure-table.ts";

export interface BuiltAntenna {
  name: string;
  /** At the first frequency of the parameters. */
  pattern: AntennaPattern;
  parameters: AntennaParameters;
}

const DRAWN_PORT: Port = 1;
/** Angles of a curve, from -180 degrees in steps of half a degree. */
const CURVE_STEPS = 720;

/** Both cuts through the peak of one or two antennas, with a table of their parameters. */
export function toDrawing(antennas: readonly BuiltAntenna[]): AntennaToDraw {
  const frequenciesGhz = antennas[0].parameters.atFrequency.map(({ frequencyGhz }) => frequencyGhz);
  const names = antennas.map(({ name }) => name);
  const strongestDbi = Math.max(...antennas.map(({ pattern }) => pattern.peakGainDbi));
  return {
    title: `Antenna at ${frequenciesGhz[0]} GHz, vertical or -45 port`,
    names,
    planes: [
      toPlane("Around, at the peak's elevation", "up-clockwise", antennas),
      toPlane("Up and down, at the peak's azimuth", "right-anticlockwise", antennas),
    ],
    outerDbi: 10 * Math.ceil(strongestDbi / 10),
    table: [
      [`both ports at ${toBandText(frequenciesGhz)} GHz`, ...names],
      ...measureTable(antennas.map(({ parameters }) => parameters)),
    ],
    notes: antennas.flatMap(({ name, parameters }) =>
      listMissingEfficiencies(parameters).map((reason) => `No beam efficiency of ${name}: ${reason}`),
    ),
  };
}

function toPlane(title: string, facing: AntennaPlane["facing"], antennas: readonly BuiltAntenna[]): AntennaPlane {
  const curvesDbi = antennas.map(({ pattern, parameters }) => {
    const { peakAzimuthDeg, peakElevationDeg, peakGainDbi } = parameters.atFrequency[0].ports[DRAWN_PORT];
    const peak = { azimuthDeg: peakAzimuthDeg, elevationDeg: peakElevationDeg, gainDbi: peakGainDbi };
    const isAround = facing === "up-clockwise";
    const cut = (isAround ? createAzimuthCut : createElevationCut)(pattern, DRAWN_PORT, peak);
    const zeroDeg = isAround ? peakAzimuthDeg : peakElevationDeg;
    return Float64Array.from({ length: CURVE_STEPS }, (_, step) => cut((360 * step) / CURVE_STEPS - 180 - zeroDeg));
  });
  return { title, facing, curvesDbi };
}

function toBandText(frequenciesGhz: readonly number[]): string {
  const [least, most] = [Math.min(...frequenciesGhz), Math.max(...frequenciesGhz)];
  return least === most ? `${least}` : `${least} to ${most}`;
}
