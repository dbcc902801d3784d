import { type CoveredLoss, computeCoveredLoss, type MastPath } from "@fellmark/coverage";
import { createFreeSight, findPathSight, type PathSight } from "@fellmark/propagation";
import type { CpeView } from "../scene/scene.ts";
import type { StationMast } from "../scene/station.ts";
import { type Arrival, buildArrival } from "./arrival.ts";
import type { Route } from "./route.ts";

/** A CPE at one height. */
export interface MountedCpe {
  heightAglM: number;
  /** Its loss by the clutter around it, at a frequency and distance, dB. */
  clutterDb(frequencyGhz: number, distanceM: number): number;
}

/** Arrivals of all senders of a route's station at a CPE. */
export function findArrivals(view: CpeView, route: Route, cpe: MountedCpe): Arrival[] {
  const arrivals: Arrival[] = [];
  for (const mast of route.station.masts) {
    const sight = findSight(view, route, mast, cpe);
    let loss: CoveredLoss | null = null;
    let lossGhz = Number.NaN;
    for (const number of mast.senders) {
      const { frequencyGhz } = view.senders[number];
      if (loss === null || lossGhz !== frequencyGhz) {
        loss = computeLoss(view, { sight, mast, cpe }, frequencyGhz);
        lossGhz = frequencyGhz;
      }
      arrivals.push(findArrival(view, { route, sight, loss, number, cpe }));
    }
  }
  return arrivals;
}

/** Sight between a mast of a route's station and the CPE; a path that is not known counts as free. */
export function findSight({ scene }: CpeView, route: Route, mast: StationMast, cpe: MountedCpe): PathSight<MastPath> {
  if (!route.isKnown) return createFreeSight(route.path);
  return findPathSight(
    route.path,
    { txHeightAglM: mast.heightAglM, rxHeightAglM: cpe.heightAglM },
    scene.effectiveEarthRadiusM,
  );
}

/** Loss of a sight at a frequency. */
export function computeLoss(
  { scene, request: { model } }: CpeView,
  { sight, mast, cpe }: { sight: PathSight<MastPath>; mast: StationMast; cpe: MountedCpe },
  frequencyGhz: number,
): CoveredLoss {
  const heights = { txHeightAglM: mast.heightAglM, rxHeightAglM: cpe.heightAglM };
  const { effectiveEarthRadiusM } = scene;
  return computeCoveredLoss(sight, { heights, frequencyGhz, effectiveEarthRadiusM, model });
}

interface Seen {
  route: Route;
  sight: PathSight<MastPath>;
  loss: CoveredLoss;
  number: number;
  cpe: MountedCpe;
}

export function findArrival(view: CpeView, { route, sight, loss, number, cpe }: Seen): Arrival {
  const sender = view.senders[number];
  const clutterCpeDb = cpe.clutterDb(sender.frequencyGhz, route.path.distanceM);
  return buildArrival(view, { sender, route, sight, loss }, clutterCpeDb);
}
