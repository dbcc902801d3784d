import { ratioFromDb } from "@fellmark/units";
import type { FarSender, FarStation } from "./far-field.ts";
import {
  type Aim,
  addInterference,
  gainOffAim,
  type Interference,
  interferenceMw,
  perGainAtAim,
} from "./interference.ts";
import type { KitView } from "./kit-view.ts";
import type { MountedKit } from "./reception.ts";
import { greatestScattered } from "./sender.ts";

/**
 * What all far senders left out may bring together, as a share of the noise and interference that is counted: 0.1 dB.
 * They are weighed by the most that they may bring, so in truth it is far less.
 */
const LEFT_OUT_SHARE = 10 ** 0.01 - 1;

/** A sender that may matter, and the most that it brings. */
interface Waiting {
  far: FarStation;
  sender: FarSender;
  mostMw: number;
}

/**
 * Adds far senders to the sums of a kit's ports, from the one that may bring most, until what is left cannot matter. They
 * are weighed first over free paths, then over what a first look at the path shows; only who still matters is walked to.
 */
export function addFarInterference(
  view: KitView,
  aim: Aim,
  far: readonly FarStation[],
  sums: readonly Interference[],
  { kit, noiseMw }: { kit: MountedKit; noiseMw: number },
): void {
  const limitMw = () => LEFT_OUT_SHARE * (noiseMw + Math.min(...sums.map(interferenceMw)));
  const free = overFreePaths(view, aim, far, limitMw() / 4);
  const seen = atFirstLook(view, free.waiting, kit, limitMw() / 4);
  let leftMw = free.faintMw + seen.faintMw + seen.waiting.reduce((sum, { mostMw }) => sum + mostMw, 0);
  seen.waiting.sort((a, b) => b.mostMw - a.mostMw);
  for (const { far: station, sender, mostMw } of seen.waiting) {
    if (leftMw <= limitMw()) return;
    leftMw -= mostMw;
    addInterference(view, aim, [station.reception(kit).arrivalOf(sender.mast, sender.number)], sums);
  }
}

/** Who may matter, and what all the others bring at most. */
interface Weighed {
  waiting: Waiting[];
  faintMw: number;
}

function overFreePaths(view: KitView, { wanted, overlap }: Aim, far: readonly FarStation[], limitMw: number): Weighed {
  const perGain = perGainAtAim(view);
  const eachMw = limitMw / view.senders.length;
  const weighed: Weighed = { waiting: [], faintMw: 0 };
  for (const station of far) {
    let gain = Number.NaN;
    for (const sender of station.senders) {
      const sentMw = sender.freeMw * overlap.shareDown[sender.number] * overlap.baseOnDown[sender.number];
      if (sentMw === 0) continue;
      if (Number.isNaN(gain)) gain = greatestGain(view, wanted, station) * perGain;
      weigh(weighed, { far: station, sender, mostMw: sentMw * gain }, eachMw);
    }
  }
  return weighed;
}

function atFirstLook(view: KitView, waiting: readonly Waiting[], kit: MountedKit, limitMw: number): Weighed {
  const eachMw = limitMw / view.senders.length;
  const weighed: Weighed = { waiting: [], faintMw: 0 };
  for (const { far, sender, mostMw } of waiting) {
    const lossDb = far.leastDiffractionDb(sender.mast, kit, view.senders[sender.number].frequencyGhz);
    weigh(weighed, { far, sender, mostMw: mostMw * ratioFromDb(-lossDb) }, eachMw);
  }
  return weighed;
}

function weigh(weighed: Weighed, sender: Waiting, eachMw: number): void {
  if (sender.mostMw > eachMw) weighed.waiting.push(sender);
  else weighed.faintMw += sender.mostMw;
}

/** Greatest gain of the kit toward a far station, whatever its path turns out to be. */
function greatestGain(view: KitView, wanted: Aim["wanted"], { line }: FarStation): number {
  const gains = view.ports.map((port) => gainOffAim(view, wanted, line.backAzimuthDeg, 0, port));
  return Math.max(...gains) + greatestScattered(view.scattered);
}
