import { buildAntennaReport, type ReportedAntenna } from "@fellmark/antenna";
import { renderAntennaSvg } from "@fellmark/picture";
import type { AntennaTask } from "./compute.ts";

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
