import type { LonLat } from "@fellmark/geodesy";
import type { MeasuredRow } from "@fellmark/network";
import { InputError, toDbm, toMilliwatts } from "@fellmark/units";
import type { AnswerLink } from "../place/answer-link.ts";
import type { AnswerInputs } from "../scene/answer-inputs.ts";
import { type AnsweringNetwork, readSignalDbm } from "./answering-network.ts";
import { ACCEPTANCE_DB, type InstallCause, type InstallEvidence, installCauses } from "./install-causes.ts";

/** Readings at a mounted CPE. */
export interface Installation {
  at: LonLat;
  sector: string;
  heightAglM?: number;
  /** Level per chain, dBm; of two chains their own. */
  measured: {
    signalDbm?: number | undefined;
    chainsDbm?: readonly [number, number] | undefined;
    sinrDb?: number | undefined;
  };
}

/** Expected against measured. */
export interface InstallReport {
  version: 1;
  at: [number, number];
  sector: string;
  heightAglM: number;
  /** "not-known": there is no prediction to compare with. */
  result: "pass" | "fail" | "not-known";
  acceptanceDb: number;
  expected: { signalDbm: number; sinrDb: number; azimuthDeg: number | null; elevationDeg: number } | null;
  /** Measured less expected, dB. */
  residualDb: number | null;
  sinrResidualDb: number | null;
  /** Most likely first; empty for a pass with nothing to remark. */
  causes: InstallCause[];
  reason: string;
  /**
   * The reading as a measured link, to learn a calibration from, whether it passes or not: passes alone would hide what
   * the model lacks. Null without a prediction.
   */
  link: MeasuredRow | null;
  inputs: AnswerInputs;
}

/** Greatest difference of the mount from the height that was stated, m. Common practice, no source. */
const MOUNT_OFF_M = 8;

/**
 * Compares what an installer reads with what the sector named is expected to bring, and says what a difference comes
 * from. Throws InputError at /sector for a sector that the network does not have.
 */
export async function installReport(network: AnsweringNetwork, installation: Installation): Promise<InstallReport> {
  const { at, sector, measured } = installation;
  const { request } = network;
  checkSector(network, sector);
  const heightAglM = installation.heightAglM ?? request.cpe.heightAglM;
  const { links, clutter, inputs } = await network.ask(at, { sectors: [sector], heightAglM });
  const link = links.find((candidate) => candidate.sector === sector);
  const shared = { version: 1 as const, at: [at.lon, at.lat] as [number, number], sector, heightAglM, inputs };
  if (!link) return { ...shared, ...WITHOUT_PREDICTION };
  const expected = findExpected(link);
  const measuredDbm = findLevel(measured);
  const residualDb = measuredDbm - expected.signalDbm;
  const isOff = Math.abs(residualDb) > ACCEPTANCE_DB;
  const evidence = {
    expected,
    measuredDbm,
    heightAglM,
    cpeClutter: clutter.known ? (clutter.cpe?.kind ?? null) : null,
  };
  const causes = installCauses(await gatherEvidence(network, installation, evidence));
  return {
    ...shared,
    result: isOff || causes.length > 0 ? "fail" : "pass",
    acceptanceDb: ACCEPTANCE_DB,
    expected,
    residualDb,
    sinrResidualDb: measured.sinrDb === undefined ? null : measured.sinrDb - expected.sinrDb,
    causes,
    reason: writeInstallReason(residualDb, causes),
    link: toMeasuredLink(installation, heightAglM, measuredDbm),
  };
}

interface Reading extends Pick<InstallEvidence, "measuredDbm" | "heightAglM" | "cpeClutter"> {
  expected: NonNullable<InstallReport["expected"]>;
}

/** Evidence to judge causes by; other sectors and heights are asked for only where the level is off. */
async function gatherEvidence(
  network: AnsweringNetwork,
  installation: Installation,
  { expected, ...reading }: Reading,
): Promise<InstallEvidence> {
  const { sector, measured } = installation;
  const { measuredDbm, heightAglM } = reading;
  const isOff = Math.abs(measuredDbm - expected.signalDbm) > ACCEPTANCE_DB;
  return {
    ...reading,
    predictedDbm: expected.signalDbm,
    chainsDbm: measured.chainsDbm ?? null,
    sinr: measured.sinrDb === undefined ? null : { predictedDb: expected.sinrDb, measuredDb: measured.sinrDb },
    frequencyGhz: findFrequency(network, sector),
    otherSectors: isOff ? await listOtherSectors(network, installation, heightAglM) : [],
    otherHeights: isOff ? await listOtherHeights(network, installation, heightAglM) : [],
  };
}

const WITHOUT_PREDICTION = {
  result: "not-known",
  acceptanceDb: ACCEPTANCE_DB,
  expected: null,
  residualDb: null,
  sinrResidualDb: null,
  causes: [],
  reason: "the sector is out of reach here, or the terrain on the way is not known",
  link: null,
} satisfies Partial<InstallReport>;

function toMeasuredLink({ at, sector }: Installation, heightAglM: number, levelDbm: number): MeasuredRow {
  return { id: `${sector} ${at.lon} ${at.lat}`, sector, ...at, heightAglM, signalDbm: levelDbm };
}

function checkSector({ request }: AnsweringNetwork, sector: string): void {
  if (request.sectors.some(({ id }) => id === sector)) return;
  throw new InputError([{ pointer: "/sector", detail: `there is no sector "${sector}" in the network` }]);
}

function findExpected({ down, sinrDownDb, azimuthDeg, elevationDeg }: AnswerLink) {
  return { signalDbm: readSignalDbm(down), sinrDb: sinrDownDb, azimuthDeg, elevationDeg };
}

/** Level per chain: of two chains the mean of their powers. */
function findLevel({ signalDbm: level = Number.NaN, chainsDbm }: Installation["measured"]): number {
  if (!chainsDbm) return level;
  const milliwatts = chainsDbm.map(toMilliwatts);
  return toDbm((milliwatts[0] + milliwatts[1]) / 2);
}

function findFrequency({ request }: AnsweringNetwork, sector: string): number {
  const { channel } = request.sectors.find(({ id }) => id === sector) as (typeof request.sectors)[number];
  return channel.centreMhz / 1000;
}

async function listOtherSectors(network: AnsweringNetwork, { at, sector }: Installation, heightAglM: number) {
  const { links } = await network.ask(at, { heightAglM });
  return links
    .filter((link) => link.sector !== sector)
    .map((link) => ({ sector: link.sector, predictedDbm: readSignalDbm(link.down) }));
}

async function listOtherHeights(network: AnsweringNetwork, { at, sector }: Installation, statedM: number) {
  const predictions: { heightAglM: number; predictedDbm: number }[] = [];
  for (let offM = -MOUNT_OFF_M; offM <= MOUNT_OFF_M; offM++) {
    const heightAglM = statedM + offM;
    if (offM === 0 || heightAglM < 1) continue;
    const { links } = await network.ask(at, { sectors: [sector], heightAglM });
    if (links[0]) predictions.push({ heightAglM, predictedDbm: readSignalDbm(links[0].down) });
  }
  return predictions;
}

function writeInstallReason(residualDb: number, [first]: readonly InstallCause[]): string {
  const side = residualDb < 0 ? "lower" : "higher";
  const level = `the level is ${Math.abs(residualDb).toFixed(1)} dB ${side} than expected`;
  return first ? `${level}: most likely ${CAUSE_TEXTS[first.cause]}` : `${level}, within ${ACCEPTANCE_DB} dB`;
}

const CAUSE_TEXTS: Record<InstallCause["cause"], string> = {
  "side-lobe": "the CPE is aimed by a side lobe",
  "wrong-sector": "the CPE is connected to another sector",
  tree: "leaves stand in the way",
  height: "the mount is at another height",
  pointing: "the CPE is not aimed",
  polarisation: "the polarisation is crossed",
  "one-chain": "one chain is at fault",
  interference: "an external emitter uses the channel",
  model: "the place, the sector or an obstacle on the path differs from what was stated",
};
