import {
  computeCalibrationDb,
  fitCalibration,
  type OwnDataCalibration,
  type MeasuredLink as OwnLink,
} from "@fellmark/calibration";
import { findGeodesic } from "@fellmark/geodesy";
import { pathClassOf } from "./loss-models.ts";
import type { MeasuredLink } from "./measured-links.ts";

/** Side of the squares that are left out together, m: the default of the product. */
export const BLOCK_M = 1000;

/** Squares that must hold links before leaving them out says anything. */
const LEAST_SQUARES = 4;

/** More links than this are left out a hundredth at a time. */
const MOST_FITS = 100;

/** As if every transmitter sent this, dBm: only differences of levels count. */
const SENT_DBM = 30;

/** A measured link and what the model says of it. */
export interface PredictedLink {
  link: MeasuredLink;
  lossDb: number;
}

/** The links of one group as a provider would have them. */
export interface OwnLinks {
  rows: OwnLink[];
  /** True where all places are known, so that squares can be told apart. */
  isPlaced: boolean;
}

/** A sector is a place that was transmitted from; where the file names none, all links are of one sector. */
export function ownLinks(predicted: readonly PredictedLink[]): OwnLinks {
  const isPlaced = predicted.every(({ link }) => link.tx && link.rx);
  const origin = predicted[0]?.link.rx;
  const rows = predicted.map(({ link, lossDb }, row) => {
    const { distanceM, azimuthDeg } = isPlaced && origin && link.rx ? findGeodesic(origin, link.rx) : HERE;
    return {
      id: String(row),
      sector: isPlaced && link.tx ? `${link.tx.lon},${link.tx.lat}` : "all",
      class: pathClassOf(link),
      distanceM: (link.profile.distanceKm.at(-1) as number) * 1000,
      eastM: distanceM * Math.sin((azimuthDeg * Math.PI) / 180),
      northM: distanceM * Math.cos((azimuthDeg * Math.PI) / 180),
      predictedDbm: SENT_DBM - lossDb,
      measuredDbm: SENT_DBM - link.measuredLossDb,
    };
  });
  return { rows, isPlaced };
}

const HERE = { distanceM: 0, azimuthDeg: 0 };

/** The calibration of each link, dB, as the product would have made it from the links of the other parts. */
export function leftOutCalibrationsDb(rows: readonly OwnLink[], partOf: readonly number[]): number[] {
  const calibrations = new Map<number, OwnDataCalibration>();
  for (const part of new Set(partOf)) {
    const others = rows.filter((_, row) => partOf[row] !== part);
    calibrations.set(part, fitCalibration(others, { blockM: BLOCK_M }).calibration);
  }
  return rows.map(({ sector, class: pathClass, distanceM }, row) =>
    computeCalibrationDb(calibrations.get(partOf[row]) ?? null, sector, pathClass, distanceM),
  );
}

/** Every link a part of its own, up to a hundred. */
export function oneByOne(rows: readonly OwnLink[]): number[] {
  return rows.map((_, row) => row % MOST_FITS);
}

/** Squares of the ground as parts; null where they are too few or the places are not known. */
export function bySquares({ rows, isPlaced }: OwnLinks): number[] | null {
  const squareOf = rows.map(({ eastM, northM }) => `${Math.floor(eastM / BLOCK_M)},${Math.floor(northM / BLOCK_M)}`);
  const squares = [...new Set(squareOf)];
  return isPlaced && squares.length >= LEAST_SQUARES ? squareOf.map((square) => squares.indexOf(square)) : null;
}
