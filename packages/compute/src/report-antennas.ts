import { buildAntennaReport, type NamedAntenna, type ReportedAntenna, type ServiceWindow } from "@fellmark/antenna";
import { renderAntennaSvg } from "@fellmark/picture";

/** Antennas to measure side by side. */
export interface AntennaTask {
  antennas: NamedAntenna[];
  frequenciesGhz: number[];
  /** Directions in which service is wanted; absent: the half-power widths of each. */
  window?: ServiceWindow;
}

/** Parameters of one or two antennas, and their cuts as an SVG. */
export interface AntennaReply {
  antennas: ReportedAntenna[];
  svg: string;
}

/** Throws InputError where one cannot be an antenna. */
export function reportAntennas({ antennas, frequenciesGhz, window }: AntennaTask): AntennaReply {
  const report = buildAntennaReport(antennas, frequenciesGhz, window);
  return { antennas: report.antennas, svg: renderAntennaSvg(report.drawing) };
}
