import { antennaPattern } from "../antenna-pattern.ts";
import type { AntennaDescription } from "../description.ts";
import type { AntennaPattern, Port } from "../pattern.ts";
import { readWarnings } from "../read/read-antenna.ts";
import type { ReadWarning } from "../read/read-fault.ts";
import { measurePort, type PortParameters } from "./measure-pattern.ts";
import type { ServiceWindow } from "./sphere-survey.ts";

export interface AntennaParameters {
  /** What a pattern file says of itself that does not fit, but may stand. */
  warnings: ReadWarning[];
  /** At each frequency asked for, in that order; the ports are horizontal or +45, and vertical or -45. */
  atFrequency: { frequencyGhz: number; ports: [PortParameters, PortParameters] }[];
}

/** An antenna at a frequency. */
export interface BuiltAntenna {
  frequencyGhz: number;
  pattern: AntennaPattern;
}

/**
 * Measures of an antenna over a band.
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

export function buildAntenna(
  description: AntennaDescription,
  frequenciesGhz: readonly number[],
  pointer = "",
): BuiltAntenna[] {
  return frequenciesGhz.map((frequencyGhz) => ({
    frequencyGhz,
    pattern: antennaPattern(description, frequencyGhz, pointer),
  }));
}

/** `measureAntenna` of what was built from the description. */
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

/** Whether the levels are a stated shape and no antenna's balance of power. */
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
