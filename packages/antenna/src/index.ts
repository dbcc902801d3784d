export { createAntennaPattern } from "./antenna-pattern.ts";
export { checkAntenna } from "./check-antenna.ts";
export { createCutsPattern } from "./cuts-pattern.ts";
export type { AntennaDescription } from "./description.ts";
export { buildAntennaReport, type NamedAntenna, type ReportedAntenna } from "./draw/antenna-report.ts";
export { toLossRows } from "./draw/loss-text.ts";
export { listMissingEfficiencies, measureTable } from "./draw/measure-table.ts";
export type { ServiceWindow } from "./measure/sphere-survey.ts";
export { type AntennaPattern, createIsotropicPattern, type Port, refuseEnvelope } from "./pattern.ts";
export { aimPattern, type Pointing, toAntennaFrame } from "./pointing.ts";
export { readWarnings } from "./read/read-antenna.ts";
export { readCsvPeakDbi } from "./read/read-csv.ts";
export { computeF699GainDbi, computeF1245GainDbi, type DishReference } from "./reference/dish-reference.ts";
export {
  computeF1336ElevationWidthDeg,
  createSectoralGain,
  type SectoralReference,
} from "./reference/sectoral-reference.ts";
export { computeSphereMean } from "./sphere-mean.ts";
export { computeChebyshevWeights, createCosineOnPedestal } from "./theory/array-tapers.ts";
export { computeBesselJ } from "./theory/bessel.ts";
export { integrate } from "./theory/integrate.ts";
export { createTr38901Pattern } from "./tr38901.ts";
