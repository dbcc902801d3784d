import { ratioFromDb } from "@fellmark/units";
import { type FarField, farReception, leastDiffractionDb, type Waiting, type Weighed } from "./far-field.ts";
import { type Aim, addInterference, gainToward, type Interference, interferenceMw } from "./interference.ts";
import type { KitView } from "./kit-view.ts";
import type { MountedKit } from "./reception.ts";

/**
 * What all far senders left out may bring together, as a share of the noise and interference that is counted: 0.1 dB.
 * They are weighed by the most that they may bring, so in truth it is far less.
 */
const LEFT_OUT_SHARE = 10 ** 0.01 - 1;

/** Adds far senders to the sums of a kit's ports, from the one that may bring most, until what is left cannot matter. */
export function addFarInterference(
  view: KitView,
  aim: Aim,
  far: FarField,
  sums: readonly Interference[],
  { kit, noiseMw }: { kit: MountedKit; noiseMw: number },
): void {
  const { number } = aim.wanted.sender;
  const { waiting, faintMw } = far.weighed.get(number) ?? weigh(view, aim, far, (LEFT_OUT_SHARE / 2) * noiseMw);
  far.weighed.set(number, { waiting, faintMw });
  let leftMw = faintMw + waiting.reduce((sum, { mostMw }) => sum + mostMw, 0);
  for (const { far: station, mast, sender, mostMw } of waiting) {
    if (leftMw <= LEFT_OUT_SHARE * (noiseMw + Math.min(...sums.map(interferenceMw)))) return;
    leftMw -= mostMw;
    addInterference(view, aim, [farReception(view, far, station, kit).arrivalOf(mast, sender)], sums);
  }
}

/**
 * Weighs all far senders: over free paths, and who is not faint then by a first look at the path. Heights of the kit play
 * no part in it.
 * @param limitMw what the faintest may bring together.
 */
function weigh(view: KitView, aim: Aim, field: FarField, limitMw: number): Weighed {
  const { shareDown, baseOnDown } = aim.overlap;
  const faintMw = limitMw / view.senders.length;
  const weighed: Weighed = { waiting: [], faintMw: 0 };
  for (const far of field.stations) {
    const { azimuthDeg, distanceM } = far.line;
    const perKm2 = gainToward(view, aim.wanted, far.line.backAzimuthDeg) / (distanceM / 1000) ** 2;
    for (const mast of far.station.masts) {
      for (const sender of mast.senders) {
        const { levelGain, freeMwAtKm, frequencyGhz } = view.senders[sender];
        const freeMw = freeMwAtKm * levelGain(azimuthDeg) * perKm2 * shareDown[sender] * baseOnDown[sender];
        const lossDb = freeMw <= faintMw ? 0 : leastDiffractionDb(view, field, far, { mast, frequencyGhz });
        put(weighed, { far, mast, sender, mostMw: freeMw * ratioFromDb(-lossDb) }, faintMw);
      }
    }
  }
  weighed.waiting.sort((a, b) => b.mostMw - a.mostMw);
  return weighed;
}

function put(weighed: Weighed, waiting: Waiting, faintMw: number): void {
  if (waiting.mostMw > faintMw) weighed.waiting.push(waiting);
  else weighed.faintMw += waiting.mostMw;
}
