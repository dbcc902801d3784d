import type { AntennaToDraw } from "@fellmark/picture";
import type { AntennaDescription } from "../description.ts";
import { buildLossTable, type LossTable } from "../measure/loss-table.ts";
import { type AntennaParameters, buildAntenna, measureBuilt } from "../measure/measure-antenna.ts";
import type { ServiceWindow } from "../measure/sphere-survey.ts";
import { toDrawing } from "./to-drawing.ts";

export interface NamedAntenna {
  name: string;
  description: AntennaDescription;
  /** JSON pointer of the description, for errors. */
  pointer: string;
}

export interface ReportedAntenna extends AntennaParameters {
  name: string;
  /**
   * Share of the beam that each loss costs, at the first frequency; null where the antenna is not built from
   * dimensions.
   */
  losses: LossTable | null;
}

export interface AntennaReport {
  antennas: ReportedAntenna[];
  /** The cuts at the first frequency, and a table of the parameters over all of them. */
  drawing: AntennaToDraw;
}

/**
 * Parameters and drawing of one antenna, or of two side by side.
 * @param window where service is wanted; default: the half-power widths of each antenna.
 * Throws InputError where one cannot be an antenna.
 */
export function buildAntennaReport(
  antennas: readonly NamedAntenna[],
  frequenciesGhz: readonly number[],
  window?: ServiceWindow,
): AntennaReport {
  const built = antennas.map(({ name, description, pointer }) => {
    const atFrequency = buildAntenna(description, frequenciesGhz, pointer);
    const losses = buildLossTable(description, frequenciesGhz[0], pointer);
    const parameters = measureBuilt(description, atFrequency, { window, pointer });
    return { name, pattern: atFrequency[0].pattern, losses, parameters };
  });
  const reported = built.map(({ name, parameters, losses }) => ({ name, ...parameters, losses }));
  return { antennas: reported, drawing: toDrawing(built) };
}
