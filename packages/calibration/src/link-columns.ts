import { type MeasuredLink, PATH_CLASSES } from "./measured-link.ts";
import { computeDecades } from "./own-data-calibration.ts";

/** Links as columns, the input of the fit. */
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
  /** Measured less modelled loss, dB: the target of the calibration. */
  excessDb: Float64Array;
}

/** Returns the columns of one or more links. */
export function toColumns(links: readonly MeasuredLink[]): LinkColumns {
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
    decades: Float64Array.from(links, ({ distanceM }) => computeDecades(referenceKm, distanceM)),
    excessDb: Float64Array.from(links, ({ predictedDbm, measuredDbm }) => predictedDbm - measuredDbm),
  };
}
