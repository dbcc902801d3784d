import type { Answer } from "@fellmark/answers";
import type { CellValue, Lead, LeadPlace } from "@fellmark/premises";

/** A lead with its place and its answer. */
export interface AnsweredLead {
  lead: Lead;
  place: LeadPlace;
  /** Null where the place is not known. */
  answer: Answer | null;
}

/** A line of the result: one value for each of LEAD_COLUMNS. */
export type LeadLine = CellValue[];

type ReadValue = (answered: AnsweredLead) => CellValue;

const findBest = ({ answer }: AnsweredLead) => answer?.links[0];
const findPremises = ({ place }: AnsweredLead) => ("at" in place ? place.premises : null);

/**
 * Columns of the result in their order. Plan, rates and link are those at the height asked for, planned rates with the
 * margins; probability and least height are those of the case considered.
 */
const COLUMNS: Readonly<Record<string, ReadValue>> = {
  row: ({ lead }) => lead.row,
  id: ({ lead }) => lead.id,
  address: ({ lead }) => lead.address,
  premises: (answered) => findPremises(answered)?.id ?? null,
  foundAddress: (answered) => findPremises(answered)?.address ?? null,
  typos: ({ place }) => ("at" in place && place.premises ? place.typos : null),
  lon: ({ place }) => ("at" in place ? roundOrNull(place.at.lon, 7) : null),
  lat: ({ place }) => ("at" in place ? roundOrNull(place.at.lat, 7) : null),
  pointQualityM: (answered) => findPremises(answered)?.qualityM ?? null,
  verdict: ({ answer }) => answer?.verdict ?? "not-known",
  likelihood: ({ answer }) => answer?.likelihood ?? null,
  plan: ({ answer }) => answer?.plan ?? null,
  probability: ({ answer }) => roundOrNull(answer?.probability, 3),
  heightAglM: ({ answer }) => answer?.heightAglM ?? null,
  leastHeightAglM: ({ answer }) => answer?.leastHeightAglM ?? null,
  consideredPlan: ({ answer }) => answer?.considered?.plan ?? null,
  consideredHeightAglM: ({ answer }) => answer?.considered?.heightAglM ?? null,
  sector: (answered) => findBest(answered)?.sector ?? null,
  distanceM: (answered) => roundOrNull(findBest(answered)?.distanceM, 0),
  azimuthDeg: (answered) => roundOrNull(findBest(answered)?.azimuthDeg, 1),
  elevationDeg: (answered) => roundOrNull(findBest(answered)?.elevationDeg, 2),
  downMbps: (answered) => roundOrNull(findBest(answered)?.downMbps, 1),
  upMbps: (answered) => roundOrNull(findBest(answered)?.upMbps, 1),
  downNowMbps: (answered) => roundOrNull(findBest(answered)?.downNowMbps, 1),
  upNowMbps: (answered) => roundOrNull(findBest(answered)?.upNowMbps, 1),
  signalDbm: (answered) => roundOrNull(findBest(answered)?.down.find(({ term }) => term === "signal")?.db, 1),
  sinrDownDb: (answered) => roundOrNull(findBest(answered)?.sinrDownDb, 1),
  sinrUpDb: (answered) => roundOrNull(findBest(answered)?.sinrUpDb, 1),
  blockedAtM: (answered) => roundOrNull(findBest(answered)?.blocking?.distanceM, 0),
  blockedByM: (answered) => roundOrNull(findBest(answered)?.blocking?.excessM, 1),
  problem: ({ place }) => ("at" in place ? null : place.notKnown.reason),
  reason: ({ place, answer }) => ("at" in place ? (answer?.reason ?? null) : place.notKnown.detail),
};

export const LEAD_COLUMNS: readonly string[] = Object.keys(COLUMNS);

export function toLine(answered: AnsweredLead): LeadLine {
  return Object.values(COLUMNS).map((read) => read(answered));
}

/** The value of a line in a column. */
export function readValue(line: LeadLine, column: string): CellValue {
  return line[LEAD_COLUMNS.indexOf(column)];
}

function roundOrNull(value: number | null | undefined, decimals: number): number | null {
  if (value === null || value === undefined || !Number.isFinite(value)) return null;
  // Adding 0 turns -0 into 0.
  return Number(value.toFixed(decimals)) + 0;
}
