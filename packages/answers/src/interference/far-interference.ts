import { toRatio } from "@fellmark/units";
import type { MountedCpe } from "../reception/reception.ts";
import type { CpeView } from "../scene/scene.ts";
import type { StationMast } from "../scene/station.ts";
import {
  boundDiffractionDb,
  type FarField,
  type FarStation,
  findFarArrival,
  type Waiting,
  type Weighed,
} from "./far-field.ts";
import { type Aim, addInterference, boundGainToward, type Interference, sumInterferenceMw } from "./interference.ts";

/**
 * Upper bound of all far senders left out, as a share of the noise and interference that is counted: 0.1 dB.
 * They are weighed by the most that they may bring, so in truth it is far less.
 */
const LEFT_OUT_SHARE = 10 ** 0.01 - 1;

/** Adds far senders to the sums of a CPE's ports, from the one that may bring most, until what is left cannot matter. */
export function addFarInterference(
  view: CpeView,
  aim: Aim,
  far: FarField,
  sums: readonly Interference[],
  { cpe, noiseMw }: { cpe: MountedCpe; noiseMw: number },
): void {
  const limitMw = () => LEFT_OUT_SHARE * (noiseMw + Math.min(...sums.map(sumInterferenceMw)));
  const { waiting, faintMw } = weighSenders(view, aim, far, limitMw() / 2);
  let leftMw = faintMw + waiting.reduce((sum, { mostMw }) => sum + mostMw, 0);
  for (const { far: station, mast, sender, mostMw } of waiting) {
    if (leftMw <= limitMw()) return;
    leftMw -= mostMw;
    addInterference(view, aim, [findFarArrival(view, far, station, { mast, number: sender, cpe })], sums);
  }
}

/** Once for all heights of the CPE, unless at one of them less may be left out. */
function weighSenders(view: CpeView, aim: Aim, field: FarField, limitMw: number): Weighed {
  const { number } = aim.wanted.sender;
  const known = field.weighed.get(number);
  if (known && known.faintMw <= limitMw) return known;
  const weighed = weigh(view, aim, field, limitMw);
  field.weighed.set(number, weighed);
  return weighed;
}

/**
 * Weighs all far senders: over free paths, and who may matter then by a first look at the path. Heights of the CPE play no
 * part in it.
 * @param limitMw what those who are not looked at may bring together.
 */
function weigh(view: CpeView, aim: Aim, field: FarField, limitMw: number): Weighed {
  const mostMw = sumOverFreePaths(view, aim, field);
  const { leastMw, faintMw } = findFaintest(mostMw, limitMw);
  const waiting: Waiting[] = [];
  forEachSender(field, (far, mast, sender, index) => {
    if (mostMw[index] < leastMw) return;
    const { frequencyGhz } = view.senders[sender];
    const lossDb = boundDiffractionDb(view, field, far, { mast, frequencyGhz });
    waiting.push({ far, mast, sender, mostMw: mostMw[index] * toRatio(-lossDb) });
  });
  return { waiting: waiting.sort((a, b) => b.mostMw - a.mostMw), faintMw };
}

/** The level from which on a sender counts, so that all below it bring no more than a limit; and what they bring. */
function findFaintest(levelsMw: Float64Array, limitMw: number): { leastMw: number; faintMw: number } {
  let faintMw = 0;
  for (const levelMw of levelsMw.toSorted()) {
    if (faintMw + levelMw > limitMw) return { leastMw: levelMw, faintMw };
    faintMw += levelMw;
  }
  return { leastMw: Number.POSITIVE_INFINITY, faintMw };
}

/** Power of far senders at the aimed CPE if their paths are free, mW. */
function sumOverFreePaths(view: CpeView, { wanted, overlap }: Aim, field: FarField): Float64Array {
  field.freeMw ??= computeFreeLevels(view, field);
  const { shareDown, baseOnDown } = overlap;
  const mostMw = field.freeMw.slice();
  let from: FarStation | null = null;
  let gain = 0;
  forEachSender(field, (far, _mast, sender, index) => {
    if (far !== from) gain = boundGainToward(view, wanted, far.line.backAzimuthDeg);
    from = far;
    mostMw[index] *= gain * shareDown[sender] * baseOnDown[sender];
  });
  return mostMw;
}

function computeFreeLevels(view: CpeView, field: FarField): Float64Array {
  const levels: number[] = [];
  forEachSender(field, ({ line }, _mast, sender) => {
    const { levelGain, freeMwAtKm } = view.senders[sender];
    levels.push((freeMwAtKm * levelGain(line.azimuthDeg)) / (line.distanceM / 1000) ** 2);
  });
  return Float64Array.from(levels);
}

function forEachSender(
  { stations }: FarField,
  visit: (far: FarStation, mast: StationMast, sender: number, index: number) => void,
): void {
  let index = 0;
  for (const far of stations) {
    for (const mast of far.station.masts) {
      for (const sender of mast.senders) visit(far, mast, sender, index++);
    }
  }
}
