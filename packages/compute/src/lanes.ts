import type { CallName } from "./protocol.ts";

/**
 * Which child answers a call. Calls of one shared lane have a child in common; an own child has one call at a time.
 * Apart are whatever must not wait for each other: readiness for antennas, a place for a calibration, a job for a job.
 */
export type Lane = { shared: string } | "own";

const OWN: Lane = "own";
const PLACES: Lane = { shared: "places" };
const TERRAIN: Lane = { shared: "terrain" };
const BODIES: Lane = { shared: "bodies" };

export const LANES: Readonly<Record<CallName, Lane>> = {
  cover: OWN,
  compare: OWN,
  advise: OWN,
  batch: OWN,
  importPremises: OWN,
  prepareLayer: OWN,
  terrainReport: OWN,
  terrainState: TERRAIN,
  terrainFacts: TERRAIN,
  answer: PLACES,
  prepare: PLACES,
  serviceability: PLACES,
  install: PLACES,
  calibration: { shared: "calibrations" },
  antennaReport: { shared: "antennas" },
  readNetwork: BODIES,
  findNetworkSlips: BODIES,
  readSubmission: BODIES,
  findSubmissionSlips: BODIES,
  readCalibration: BODIES,
  draw: { shared: "pictures" },
};
