import { toAntennaFrame } from "@fellmark/antenna";
import { type CoveredLoss, computePathCalibrationDb, type MastPath } from "@fellmark/coverage";
import type { PathSight } from "@fellmark/propagation";
import { toDb, toRatio } from "@fellmark/units";
import type { CpeView } from "../scene/scene.ts";
import type { Sender } from "../scene/sender.ts";
import type { Route } from "./route.ts";

/** Power of one sender at a place, per chain, at a CPE aimed at it. */
export interface Arrival {
  sender: Sender;
  route: Route;
  sight: PathSight<MastPath>;
  /** One object for all senders of a mast and frequency. */
  loss: CoveredLoss;
  /** By port of the CPE: gain toward the place with what obstacles scatter, dBi. */
  gainDbi: number[];
  levelDbm: number[];
  gasDb: number;
  /** Clutter around the CPE, and what own links taught of such paths. */
  clutterCpeDb: number;
  calibrationDb: number;
}

/** A place without coordinates is taken to lie on the azimuth of the antenna. */
export function buildArrival(
  view: CpeView,
  seen: Pick<Arrival, "sender" | "route" | "sight" | "loss">,
  clutterCpeDb: number,
): Arrival {
  const { sender, route, sight, loss } = seen;
  const { path } = route;
  const { pointing, gainDbi: gainOf, baseDbm } = sender;
  const toward = toAntennaFrame(path.azimuthDeg ?? pointing.azimuthDeg, loss.departureElevationDeg, pointing);
  const gainDbi = view.ports.map((port) =>
    toDb(toRatio(gainOf(toward.azimuthDeg, toward.elevationDeg, port)) + sender.scattered[loss.class]),
  );
  const gasDb = (sender.gasDbPerKm * sight.slantM) / 1000;
  const calibrationDb = route.isKnown ? computePathCalibrationDb(view.request.model, loss.class, path.distanceM) : 0;
  const withoutGainDbm =
    baseDbm - loss.freeSpaceDb - loss.diffractionDb - loss.clutterPathDb - gasDb - clutterCpeDb - calibrationDb;
  const levelDbm = gainDbi.map((gain) => withoutGainDbm + gain);
  return { sender, route, sight, loss, gainDbi, levelDbm, gasDb, clutterCpeDb, calibrationDb };
}

/** Gain of the antenna this way below its peak, dB. */
export function computeGainBelowPeakDb({ sender, gainDbi }: Arrival): number {
  return sender.peakGainDbi - gainDbi[0];
}
