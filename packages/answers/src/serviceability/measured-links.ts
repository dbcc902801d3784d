import type { MeasuredLink } from "@fellmark/calibration";
import { findGeodesic, MAX_LATITUDE_DEG } from "@fellmark/geodesy";
import type { CoverageRequest, MeasuredRow } from "@fellmark/network";
import { DEG_PER_RAD } from "@fellmark/units";
import type { PlaceQuestion } from "../place/answer.ts";
import { type AnsweringNetwork, readSignalDbm } from "./answering-network.ts";

/** A row that says nothing of the model, and why. */
export interface RejectedRow {
  /** Counted from 0. */
  row: number;
  id: string;
  field: string;
  reason: string;
}

/** Measured links beside their prediction, each with the row that it comes from. */
export interface PredictedLinks {
  links: MeasuredLink[];
  rowOf: number[];
  rejected: RejectedRow[];
}

/** The links of those subscribers of whom a level was measured. */
export function listMeasuredSubscribers(network: Pick<CoverageRequest, "subscribers">): MeasuredRow[] {
  return network.subscribers.flatMap(({ id, sector, lon, lat, cpe, heightAglM, measured }) => {
    if (!measured) return [];
    const mount = { ...(cpe !== undefined && { cpe }), ...(heightAglM !== undefined && { heightAglM }) };
    return { id, sector, lon, lat, ...mount, signalDbm: measured.signalDbm, measuredAt: measured.at };
  });
}

/**
 * Predicts every measured link at its own height, with its own CPE, from the sector that it names. The network asked
 * must have no calibration in its model: what is learnt is what the bare model lacks.
 */
export async function predictLinks(network: AnsweringNetwork, rows: readonly MeasuredRow[]): Promise<PredictedLinks> {
  const predicted: PredictedLinks = { links: [], rowOf: [], rejected: [] };
  for (const [row, measured] of rows.entries()) {
    const fault = findFault(network, measured);
    const link = fault ?? (await predictLink(network, measured));
    if ("reason" in link) predicted.rejected.push({ row, id: measured.id, ...link });
    else {
      predicted.links.push(link);
      predicted.rowOf.push(row);
    }
  }
  return predicted;
}

type Fault = Pick<RejectedRow, "field" | "reason">;

/** Faults that need no prediction; levels and distances are judged by the fit. */
function findFault(
  { request, cpes }: AnsweringNetwork,
  { sector, cpe, lon, lat, heightAglM }: MeasuredRow,
): Fault | null {
  if (!request.sectors.some(({ id }) => id === sector))
    return { field: "sector", reason: "the network has no such sector" };
  if (cpe !== undefined && !cpes.has(cpe)) return { field: "cpe", reason: "the network has no such CPE" };
  if (!(Math.abs(lon) <= 180)) return { field: "lon", reason: "must lie between -180 and 180 degrees" };
  if (!(Math.abs(lat) <= MAX_LATITUDE_DEG)) {
    return { field: "lat", reason: `must lie between -${MAX_LATITUDE_DEG} and ${MAX_LATITUDE_DEG} degrees` };
  }
  const isHeight = heightAglM === undefined || (heightAglM >= 0.5 && heightAglM <= 500);
  return isHeight ? null : { field: "heightAglM", reason: "must lie between 0.5 and 500 m" };
}

async function predictLink(network: AnsweringNetwork, measured: MeasuredRow): Promise<MeasuredLink | Fault> {
  const { id, sector, lon, lat, heightAglM, measuredAt } = measured;
  const cpe = measured.cpe === undefined ? undefined : network.cpes.get(measured.cpe);
  const change: PlaceQuestion = { sectors: [sector] };
  if (cpe) change.cpe = cpe;
  if (heightAglM !== undefined) change.heightAglM = heightAglM;
  const { links } = await network.ask({ lon, lat }, change);
  const link = links.find((candidate) => candidate.sector === sector);
  if (!link) return { field: "lon", reason: "the sector is out of reach here, or the terrain on the way is not known" };
  return {
    id,
    sector,
    class: link.class,
    distanceM: link.distanceM,
    ...toPlane(network, measured),
    predictedDbm: readSignalDbm(link.down),
    measuredDbm: measured.signalDbm,
    ...(measuredAt !== undefined && { atMs: Date.parse(measuredAt) }),
  };
}

/** East and north of the network's first site, m: azimuth and distance laid on a plane. */
function toPlane({ request }: AnsweringNetwork, place: MeasuredRow): { eastM: number; northM: number } {
  const { distanceM, azimuthDeg } = findGeodesic(request.sites[0], place);
  const azimuthRad = azimuthDeg / DEG_PER_RAD;
  return { eastM: distanceM * Math.sin(azimuthRad), northM: distanceM * Math.cos(azimuthRad) };
}
