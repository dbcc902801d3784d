import { freeSight, lossOf, type PathSight, type SightLoss, sightOf } from "@fellmark/coverage";
import type { KitView } from "../scene/scene.ts";
import type { StationMast } from "../scene/station.ts";
import { type Arrival, arrivalOf } from "./arrival.ts";
import type { Route } from "./route.ts";

/** A kit at one height. */
export interface MountedKit {
  heightAglM: number;
  /** Its loss by what stands around it, at a frequency and distance, dB. */
  clutterDb(frequencyGhz: number, distanceM: number): number;
}

/** What all senders of a route's station bring to a kit. */
export function arrivalsOver(view: KitView, route: Route, kit: MountedKit): Arrival[] {
  const arrivals: Arrival[] = [];
  for (const mast of route.station.masts) {
    const sight = sightFrom(view, route, mast, kit);
    let loss: SightLoss | null = null;
    let lossGhz = Number.NaN;
    for (const number of mast.senders) {
      const { frequencyGhz } = view.senders[number];
      if (loss === null || lossGhz !== frequencyGhz) {
        loss = lossOf(sight, frequencyGhz, view.scene.effectiveEarthRadiusM);
        lossGhz = frequencyGhz;
      }
      arrivals.push(arrivalFrom(view, { route, sight, loss, number, kit }));
    }
  }
  return arrivals;
}

/** How a mast of a route's station and the kit see each other; a path that is not known counts as free. */
export function sightFrom({ scene }: KitView, route: Route, mast: StationMast, kit: MountedKit): PathSight {
  if (!route.isKnown) return freeSight(route.path);
  return sightOf(route.path, { mastM: mast.heightAglM, kitM: kit.heightAglM }, scene.effectiveEarthRadiusM);
}

interface Seen {
  route: Route;
  sight: PathSight;
  loss: SightLoss;
  number: number;
  kit: MountedKit;
}

export function arrivalFrom(view: KitView, { route, sight, loss, number, kit }: Seen): Arrival {
  const sender = view.senders[number];
  const clutterKitDb = kit.clutterDb(sender.frequencyGhz, route.path.distanceM);
  return arrivalOf(view, { sender, route, sight, loss }, clutterKitDb);
}
