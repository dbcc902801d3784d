import { toAntennaFrame } from "@fellmark/antenna";
import { dbFromRatio, ratioFromDb } from "@fellmark/units";
import { pathCorrectionDb } from "../link/correction.ts";
import type { KitView } from "./kit-view.ts";
import { freeSight, lossOf, type PathSight, type SightLoss, sightOf } from "./path-sight.ts";
import type { Route } from "./route.ts";
import type { Sender } from "./sender.ts";

/** What one sender brings to a place, per chain, at a kit aimed at it. */
export interface Arrival {
  sender: Sender;
  route: Route;
  sight: PathSight;
  /** Shared by the senders of one mast and frequency. */
  loss: SightLoss;
  /** By port of the kit: gain toward the place with what obstacles scatter, dBi. */
  gainDbi: number[];
  levelDbm: number[];
  gasDb: number;
  /** What stands around the kit, and what own links taught of such paths. */
  clutterKitDb: number;
  correctionDb: number;
}

/** Loss of the kit by its clutter at a frequency and distance, dB. */
export type KitClutter = (frequencyGhz: number, distanceM: number) => number;

/** What all senders of a station bring to a kit at a height. */
export function arrivalsOver(view: KitView, route: Route, kitHeightAglM: number, clutter: KitClutter): Arrival[] {
  const { effectiveEarthRadiusM } = view.scene;
  return route.station.masts.flatMap(({ heightAglM, senders }) => {
    const sight = route.isKnown
      ? sightOf(route.path, { mastM: heightAglM, kitM: kitHeightAglM }, effectiveEarthRadiusM)
      : freeSight(route.path);
    const losses = new Map<number, SightLoss>();
    return senders.map((number) => {
      const sender = view.senders[number];
      const { frequencyGhz } = sender;
      const loss = losses.get(frequencyGhz) ?? lossOf(sight, frequencyGhz, effectiveEarthRadiusM);
      losses.set(frequencyGhz, loss);
      return arrivalOf(view, { sender, route, sight, loss }, clutter(frequencyGhz, route.path.distanceM));
    });
  });
}

/** A place without coordinates is taken to lie on the azimuth of the antenna. */
function arrivalOf(
  view: KitView,
  seen: Pick<Arrival, "sender" | "route" | "sight" | "loss">,
  clutterKitDb: number,
): Arrival {
  const { sender, route, sight, loss } = seen;
  const { path } = route;
  const { pointing, gainDbi: gainOf, baseDbm } = sender;
  const toward = toAntennaFrame(path.azimuthDeg ?? pointing.azimuthDeg, sight.departureElevationDeg, pointing);
  const gainDbi = view.ports.map((port) =>
    dbFromRatio(ratioFromDb(gainOf(toward.azimuthDeg, toward.elevationDeg, port)) + sender.scattered[loss.class]),
  );
  const gasDb = (sender.gasDbPerKm * sight.slantM) / 1000;
  const correctionDb = route.isKnown ? pathCorrectionDb(view.request.model, loss.class, path.distanceM) : 0;
  const withoutGainDbm = baseDbm - loss.freeSpaceDb - loss.diffractionDb - gasDb - clutterKitDb - correctionDb;
  return {
    ...seen,
    gainDbi,
    levelDbm: gainDbi.map((gain) => withoutGainDbm + gain),
    gasDb,
    clutterKitDb,
    correctionDb,
  };
}

/** How much less than at its peak the antenna gives this way, dB. */
export function gainBelowPeakDb({ sender, gainDbi }: Arrival): number {
  return sender.peakGainDbi - gainDbi[0];
}
