import { createAntennaPattern } from "../antenna-pattern.ts";
import type { AntennaDescription } from "../description.ts";
import type { AntennaPattern, Port } from "../pattern.ts";
import { readWarnings } from "../read/read-antenna.ts";
import type { ReadWarning } from "../read/read-fault.ts";
import { measurePort, type PortParameters } from "./measure-pattern.ts";
import type { ServiceWindow } from "./sphere-survey.ts";

export interface AntennaParameters {
  /** Statements of a pattern file that contradict its levels but do not prevent its use. */
  warnings: ReadWarning[];
  /** One entry per requested frequency, in order; the ports are horizontal or +45, and vertical or -45. */
  atFrequency: { frequencyGhz: number; ports: [PortParameters, PortParameters] }[];
}

/** Pattern of an antenna at a frequency. */
export interface BuiltAntenna {
  frequencyGhz: number;
  pattern: AntennaPattern;
}

/**
 * Returns the parameters of an antenna over a band.
 * @param pointer JSON pointer of the description, for errors.
 * Throws InputError below `pointer` where the description cannot be an antenna.
 */
export function measureAntenna(
  description: AntennaDescription,
  frequenciesGhz: readonly number[],
  options: { window?: ServiceWindow | undefined; pointer?: string } = {},
): AntennaParameters {
  return measureBuilt(description, buildAntenna(description, frequenciesGhz, options.pointer), options);
}

/** Returns the patterns of an antenna, one per frequency. */
export function buildAntenna(
  description: AntennaDescription,
  frequenciesGhz: readonly number[],
  pointer = "",
): BuiltAntenna[] {
  return frequenciesGhz.map((frequencyGhz) => ({
    frequencyGhz,
    pattern: createAntennaPattern(description, frequencyGhz, pointer),
  }));
}

/** Returns the result of `measureAntenna` from patterns that are already built. */
export function measureBuilt(
  description: AntennaDescription,
  built: readonly BuiltAntenna[],
  { window, pointer = "" }: { window?: ServiceWindow | undefined; pointer?: string } = {},
): AntennaParameters {
  const isReference = isReferenceShape(description);
  const atFrequency = built.map(({ frequencyGhz, pattern }): AntennaParameters["atFrequency"][number] => {
    const of = (port: Port) => measurePort(pattern, port, { window, isReference });
    return { frequencyGhz, ports: [of(0), of(1)] };
  });
  return { warnings: readWarnings(description, built[0].frequencyGhz, pointer), atFrequency };
}

/** True for a shape that a standard states, whose levels do not balance the power fed. */
function isReferenceShape(description: AntennaDescription): boolean {
  switch (description.kind) {
    case "tr38901":
    case "f1336":
    case "f699":
    case "f1245":
      return true;
    case "shrouded":
    case "without-lobes":
      return isReferenceShape(description.base);
    default:
      return false;
  }
}
