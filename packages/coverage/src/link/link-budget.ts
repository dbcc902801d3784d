import { type AntennaPattern, aimPattern } from "@fellmark/antenna";
import {
  type CoverageRequest,
  type CpeSpec,
  type EmitterSpec,
  type ModelSpec,
  type RadioSpec,
  readRadioTables,
  type SectorSpec,
} from "@fellmark/network";
import { computeGasAttenuationDbPerKm, computeInverseComplementaryNormal, type PathClass } from "@fellmark/propagation";
import {
  buildRateThresholds,
  computeFeederLossDb,
  computeNoiseDbm,
  findCommonTable,
  findPermittedPower,
  type PermittedPower,
  type RateThresholds,
} from "@fellmark/radio";
import { toRatio } from "@fellmark/units";
import type { StreamRates } from "./down-link.ts";
import { type ClutterAround, type EndClutter, type EndsOf, endClutterDb, findStatedClutter } from "./end-clutter.ts";
import type { Patterns } from "./patterns.ts";

/** A signed contribution to a budget, dB (dBm for the first); a sum line repeats the running total. */
export interface BudgetTerm {
  term: string;
  db: number;
}

/** The terms of one direction that do not depend on the place, and what they sum to. */
export interface FixedBudget {
  before: BudgetTerm[];
  after: BudgetTerm[];
  /** Sum of all fixed terms, dBm: what antenna gain, path loss and gas are added to. */
  baseDbm: number;
  /** Noise at the receiver per chain, noise rise included, dBm. */
  noiseDbm: number;
  eirpDbm: number;
  /** Power that is fed, total over the chains, dBm. */
  powerDbm: number;
  /** The limit that reduced the power, or null. */
  binding: string | null;
}

/** The parts of a link between one sector and the CPE that do not depend on the place of the CPE. */
export interface LinkBudget {
  sector: SectorSpec;
  frequencyGhz: number;
  down: FixedBudget;
  up: FixedBudget;
  /** Specific attenuation of the air, dB/km; 0 when gas is switched off. */
  gasDbPerKm: number;
  /** With as many streams as both ends can do; `single` with one. */
  rates: LinkRates & { streams: number; single: LinkRates };
}

/** Thresholds of the rates, dB, and net Mbit/s, each way. */
export interface LinkRates {
  down: RateThresholds;
  up: RateThresholds;
}

interface End {
  spec: SectorSpec | CpeSpec;
  radio: RadioSpec;
  pattern: AntennaPattern;
  pointer: string;
}

/**
 * Every sector's link to the CPE. Throws InputError where a power rule does not exist or does not fit the channel.
 * @param endsOf clutter around the ends; default: that which the request states for all places.
 */
export function linkBudgets(
  request: CoverageRequest,
  patterns: Patterns,
  endsOf: EndsOf = () => findStatedClutter(request.model),
): LinkBudget[] {
  return request.sectors.map((sector, index) => {
    const frequencyGhz = sector.channel.centreMhz / 1000;
    const endOf = (spec: SectorSpec | CpeSpec, pointer: string): End => ({
      spec,
      radio: request.radios.find((radio) => radio.id === spec.radio) as RadioSpec,
      pattern: patterns.get(spec.antenna, frequencyGhz),
      pointer,
    });
    const mast = endOf(sector, `/sectors/${index}`);
    return linkBudget(request, sector, mast, endOf(request.cpe, "/cpe"), endsOf(sector));
  });
}

/**
 * Level that an emitter brings to a CPE aimed at it, per port and before antenna gain, path loss and gas, dBm: its
 * power lies half in either polarisation, for that of an external emitter is not known.
 */
export function computeEmitterBaseDbm(
  request: CoverageRequest,
  patterns: Patterns,
  emitter: EmitterSpec,
  around: ClutterAround = findStatedClutter(request.model).cpe,
): number {
  const { cpe, model } = request;
  const frequencyGhz = emitter.channel.centreMhz / 1000;
  const peakGainDbi = emitter.antenna === undefined ? 0 : patterns.get(emitter.antenna, frequencyGhz).peakGainDbi;
  const cpeGainDb = patterns.get(cpe.antenna, frequencyGhz).peakGainDbi - cpe.pointingLossDb;
  const cpeLossDb = cpe.feederLossDb + cpe.connectorLossDb + endClutterDb(model, around, cpe.heightAglM, frequencyGhz);
  return emitter.eirpDbm - peakGainDbi - PORT_SPLIT_DB + cpeGainDb - cpeLossDb;
}

const PORT_SPLIT_DB = 10 * Math.log10(2);

function linkBudget(request: CoverageRequest, sector: SectorSpec, mast: End, cpe: End, around: EndClutter): LinkBudget {
  const frequencyGhz = sector.channel.centreMhz / 1000;
  const clutterDb = (end: "mast" | "cpe", { spec }: End) =>
    endClutterDb(request.model, around[end], spec.heightAglM, frequencyGhz);
  const common = [
    { term: "clutter-mast", db: -clutterDb("mast", mast) },
    { term: "clutter-cpe", db: -clutterDb("cpe", cpe) },
    { term: "cpe-antenna", db: cpe.pattern.peakGainDbi },
    { term: "pointing", db: -request.cpe.pointingLossDb },
    // What a polarisation loses lies in the gain toward the port: see receivedGainDbi.
    { term: "polarisation", db: 0 },
  ];
  const down = buildFixedBudget(sector, mast, cpe, common);
  const up = buildFixedBudget(sector, cpe, mast, common);
  return {
    sector,
    frequencyGhz,
    down,
    up,
    gasDbPerKm: request.model.gas ? computeGasAttenuationDbPerKm(frequencyGhz) : 0,
    rates: findCommonRates(sector, mast, cpe, { downDbm: down.powerDbm, upDbm: up.powerDbm }),
  };
}

function buildFixedBudget(sector: SectorSpec, from: End, to: End, after: BudgetTerm[]): FixedBudget {
  const frequencyGhz = sector.channel.centreMhz / 1000;
  const [txFeederDb, rxFeederDb] = [from, to].map(({ spec, pointer }) => computeFeederDb(spec, frequencyGhz, pointer));
  const permitted = limitPower(sector, from, txFeederDb + from.spec.connectorLossDb);
  const before = [
    { term: "power", db: from.spec.powerDbm },
    { term: "per-chain", db: -10 * Math.log10(from.spec.chains) },
    { term: "feeder", db: -(txFeederDb + rxFeederDb) },
    { term: "connectors", db: -(from.spec.connectorLossDb + to.spec.connectorLossDb) },
    { term: "eirp-back-off", db: -permitted.eirpBackOffDb },
  ];
  return {
    before,
    after,
    baseDbm: [...before, ...after].reduce((sum, { db }) => sum + db, 0),
    noiseDbm: computeNoiseDbm(sector.channel.widthMhz, to.radio.noiseFigureDb) + to.spec.noiseRiseDb,
    eirpDbm: permitted.powerDbm - txFeederDb - from.spec.connectorLossDb + from.pattern.peakGainDbi,
    powerDbm: permitted.powerDbm,
    binding: permitted.binding,
  };
}

/** Loss of a feeder, dB: as stated, or of the cable and connectors that it is built of. */
export function computeFeederDb(
  { feeder, feederLossDb: statedDb }: SectorSpec | CpeSpec,
  frequencyGhz: number,
  pointer = "",
): number {
  return feeder === undefined ? statedDb : computeFeederLossDb(feeder, frequencyGhz, `${pointer}/feeder`);
}

/** Steepest aim of a CPE that its power allows for, degrees: a mast 30 m high stands farther than 170 m away. */
const CPE_AIM_UP_DEG = 10;

/** Returns the power that a rule permits; a mask limits the pattern as it is aimed, of a CPE up to CPE_AIM_UP_DEG. */
function limitPower({ channel }: SectorSpec, { spec, pattern, pointer }: End, lossDb: number): PermittedPower {
  const { rule, powerDbm } = spec;
  const aim = "azimuthDeg" in spec ? spec : { azimuthDeg: 0, downtiltDeg: -CPE_AIM_UP_DEG };
  const gainAboveDbi = (elevationDeg: number) => findGreatestGainAbove(aimPattern(pattern, aim), elevationDeg);
  return findPermittedPower(
    { rule, powerDbm, ...channel, gainDbi: pattern.peakGainDbi, lossDb, gainAboveDbi },
    pointer,
  );
}

const MASK_STEP_DEG = 2;

/** Greatest gain of a mounted pattern at and above an elevation, dBi, on a grid of 2 degrees. */
function findGreatestGainAbove(aimed: AntennaPattern, aboveDeg: number): number {
  let greatestDbi = Number.NEGATIVE_INFINITY;
  for (let elevationDeg = aboveDeg; elevationDeg <= 90; elevationDeg += MASK_STEP_DEG) {
    for (let azimuthDeg = 0; azimuthDeg < 360; azimuthDeg += MASK_STEP_DEG) {
      const gains = [aimed.gainDbi(azimuthDeg, elevationDeg, 0), aimed.gainDbi(azimuthDeg, elevationDeg, 1)];
      greatestDbi = Math.max(greatestDbi, ...gains);
    }
  }
  return greatestDbi;
}

/**
 * Returns the rates that both radios have: the older table, the fewer streams and chains, the longer guard interval,
 * the greater implementation loss. Of own tables that of the receiver counts.
 */
function findCommonRates(
  sector: SectorSpec,
  mast: End,
  cpe: End,
  { downDbm, upDbm }: { downDbm: number; upDbm: number },
): LinkBudget["rates"] {
  const table = findCommonTable(mast.radio.table, cpe.radio.table);
  if (table === null) throw new TypeError(`no rate in common: ${mast.radio.table}, ${cpe.radio.table}`);
  const common = {
    table,
    widthMhz: sector.channel.widthMhz,
    guardIntervalUs: Math.max(mast.radio.guardIntervalUs ?? 0.8, cpe.radio.guardIntervalUs ?? 0.8),
    implementationDb: Math.max(mast.radio.implementationDb, cpe.radio.implementationDb),
    macEfficiency: mast.radio.macEfficiency,
  };
  const buildThresholds = (streams: number, share: number, from: End, to: End, powerDbm: number) =>
    buildRateThresholds({
      ...common,
      ownTables: readRadioTables(to.radio),
      noiseFigureDb: to.radio.noiseFigureDb,
      streams,
      share,
      power: { powerDbm, byRate: from.radio.powerByRate ?? [] },
    });
  const both = (streams: number): LinkRates => ({
    down: buildThresholds(streams, mast.radio.downShare, mast, cpe, downDbm),
    up: buildThresholds(streams, 1 - mast.radio.downShare, cpe, mast, upDbm),
  });
  const streams = Math.min(mast.radio.streams, cpe.radio.streams, sector.chains, cpe.spec.chains);
  return { ...both(streams), streams, single: both(1) };
}

/** Rates of a link's downlink as steps of linear SINR. */
export function listStreamRates({ down, single }: LinkBudget["rates"]): StreamRates {
  const toSteps = ({ sinrDb, netMbps }: RateThresholds) => ({
    sinr: sinrDb.map(toRatio),
    mbps: Float64Array.of(0, ...netMbps),
  });
  return { all: toSteps(down), single: toSteps(single.down) };
}

/** Clutter on a link: none that costs anything, some that does at an end or on the way, or not known. */
export type LinkClutter = "free" | "costs" | "unknown";

/**
 * Standard deviation of the prediction error by class of the path, dB: as own links measured it where there are enough,
 * else common practice, no source. Clutter that costs anything is as uncertain as a blocked path, and so is unknown
 * one.
 */
export function findErrorSigmaDb({ calibration }: ModelSpec, sight: PathClass, clutter: LinkClutter): number {
  const sigmaOf = (of: PathClass) => {
    const measuredDb = calibration?.validation.applied ? calibration.classes[of]?.sigmaDb : null;
    return measuredDb ?? PRACTICE_SIGMA_DB[clutter === "unknown" ? "blocked" : of];
  };
  return clutter === "costs" ? Math.max(sigmaOf(sight), sigmaOf("blocked")) : sigmaOf(sight);
}

/** True where what the request says of all places costs anything at an end of a sector's links. */
export function hasEndClutterLoss({ down }: LinkBudget): boolean {
  return down.after.some(({ term, db }) => term.startsWith("clutter-") && db < 0);
}

const PRACTICE_SIGMA_DB: Record<PathClass, number> = { clear: 4, grazing: 6, blocked: 9 };

/** z(confidence): the number of sigmas kept in hand. */
export function computeConfidenceFactor(confidence: number): number {
  return computeInverseComplementaryNormal(1 - confidence);
}
