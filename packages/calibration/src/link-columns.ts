import { type MeasuredLink, PATH_CLASSES } from "./measured-link.ts";
import { decadesFrom } from "./own-data-calibration.ts";

/** Links as columns: what the fit reads. */
export interface LinkColumns {
  count: number;
  /** Index into PATH_CLASSES. */
  pathClass: Uint8Array;
  /** Index into sectorNames. */
  sector: Uint32Array;
  sectorNames: string[];
  referenceKm: number;
  /** Log of distance over the reference. */
  decades: Float64Array;
  /** Measured loss less the model's, dB: what the calibration is to explain. */
  excessDb: Float64Array;
}

/** The columns of one or more links. */
export function linkColumns(links: readonly MeasuredLink[]): LinkColumns {
  const sectorNames = [...new Set(links.map(({ sector }) => sector))].sort();
  const numberOf = new Map(sectorNames.map((name, number) => [name, number]));
  const meanLog = links.reduce((sum, { distanceM }) => sum + Math.log10(distanceM / 1000), 0) / links.length;
  const referenceKm = Number((10 ** meanLog).toPrecision(4));
  return {
    count: links.length,
    pathClass: Uint8Array.from(links, (link) => (PATH_CLASSES as readonly string[]).indexOf(link.class)),
    sector: Uint32Array.from(links, ({ sector }) => numberOf.get(sector) as number),
    sectorNames,
    referenceKm,
    decades: Float64Array.from(links, ({ distanceM }) => decadesFrom(referenceKm, distanceM)),
    excessDb: Float64Array.from(links, ({ predictedDbm, measuredDbm }) => predictedDbm - measuredDbm),
  };
}
