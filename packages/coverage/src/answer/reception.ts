import { type Arrival, arrivalOf } from "./arrival.ts";
import type { KitView } from "./kit-view.ts";
import { freeSight, lossOf, type PathSight, type SightLoss, sightOf } from "./path-sight.ts";
import type { Route } from "./route.ts";
import type { StationMast } from "./station.ts";

/** A kit at one height. */
export interface MountedKit {
  heightAglM: number;
  /** Its loss by what stands around it, at a frequency and distance, dB. */
  clutterDb(frequencyGhz: number, distanceM: number): number;
}

/** What a mounted kit receives over one route; nothing is computed before it is asked for, nor twice. */
export interface Reception {
  route: Route;
  kit: MountedKit;
  arrivalOf(mast: StationMast, sender: number): Arrival;
}

export function receptionOver(view: KitView, route: Route, kit: MountedKit): Reception {
  const masts = new Map<StationMast, MastReception>();
  return {
    route,
    kit,
    arrivalOf(mast, sender) {
      const received = masts.get(mast) ?? mastReception(view, route, kit, mast);
      masts.set(mast, received);
      return received(sender);
    },
  };
}

type MastReception = (sender: number) => Arrival;

function mastReception(view: KitView, route: Route, kit: MountedKit, mast: StationMast): MastReception {
  const { effectiveEarthRadiusM } = view.scene;
  const heights = { mastM: mast.heightAglM, kitM: kit.heightAglM };
  const sight: PathSight = route.isKnown ? sightOf(route.path, heights, effectiveEarthRadiusM) : freeSight(route.path);
  const losses = new Map<number, SightLoss>();
  const arrivals = new Map<number, Arrival>();
  const lossAt = (frequencyGhz: number): SightLoss => {
    const known = losses.get(frequencyGhz) ?? lossOf(sight, frequencyGhz, effectiveEarthRadiusM);
    losses.set(frequencyGhz, known);
    return known;
  };
  return (number) => {
    const known = arrivals.get(number);
    if (known) return known;
    const sender = view.senders[number];
    const clutterKitDb = kit.clutterDb(sender.frequencyGhz, route.path.distanceM);
    const arrival = arrivalOf(view, { sender, route, sight, loss: lossAt(sender.frequencyGhz) }, clutterKitDb);
    arrivals.set(number, arrival);
    return arrival;
  };
}

/** What all senders of the route's station bring. */
export function allArrivals({ route, arrivalOf }: Reception): Arrival[] {
  return route.station.masts.flatMap((mast) => mast.senders.map((sender) => arrivalOf(mast, sender)));
}
