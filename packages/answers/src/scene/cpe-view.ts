import {
  adaptNoise,
  findChannelOverlap,
  isSplit,
  linkBudgets,
  listTransmitters,
  UNKNOWN_CLUTTER,
} from "@fellmark/coverage";
import { type CpeSpec, toCanonicalJson } from "@fellmark/network";
import type { AnswerScene, CpeView } from "./scene.ts";
import { computeScattered, createLevelGain, createSender } from "./sender.ts";

/** CPEs that a scene keeps at once. */
const MOST_VIEWS = 16;

/** The scene as a CPE meets it; heights play no part in it. */
export function findView(scene: AnswerScene, changes: Partial<CpeSpec> = {}): CpeView {
  const { heightAglM: _height, maxHeightAglM: _most, ...other } = changes;
  const key = toCanonicalJson(other);
  let view = scene.views.get(key);
  if (!view) {
    if (scene.views.size >= MOST_VIEWS) scene.views.clear();
    const own = scene.request.cpe;
    view = createCpeView(scene, Object.keys(other).length === 0 ? own : { ...own, ...other });
    scene.views.set(key, view);
  }
  return view;
}

/** The scene with the other foliage. */
export function findOtherSeason(scene: AnswerScene): AnswerScene {
  const { request } = scene;
  const model = {
    ...request.model,
    foliage: request.model.foliage === "leaf-on" ? ("leaf-off" as const) : ("leaf-on" as const),
  };
  scene.otherSeason ??= { ...scene, request: { ...request, model }, views: new Map() };
  return scene.otherSeason;
}

function createCpeView(scene: AnswerScene, cpe: CpeSpec): CpeView {
  const { patterns, endsOf } = scene;
  const request = { ...scene.request, cpe };
  // Clutter around the CPE depends on the place and is added there.
  const links = linkBudgets(request, patterns, (sector) => ({ mast: endsOf(sector).mast, cpe: UNKNOWN_CLUTTER }));
  const bare = { ...request, model: { ...request.model, clutter: { class: "unknown" as const } } };
  const transmitters = listTransmitters(bare, patterns, links);
  const pattern = patterns.get(cpe.antenna, links[0].frequencyGhz);
  const scattered = computeScattered(request.model, pattern);
  return {
    scene,
    request,
    links,
    senders: transmitters.map((transmitter, number) =>
      createSender(request.model, number, request.sectors[number], transmitter),
    ),
    pattern,
    scattered,
    levelGain: createLevelGain(pattern.gainDbi, { azimuthDeg: 0, downtiltDeg: 0 }, scattered),
    ports: isSplit(transmitters, pattern) ? [0, 1] : [0],
    overlap: rememberResults((victim) => findChannelOverlap(request, victim)),
    noise:
      cpe === scene.request.cpe
        ? (victim) => scene.noise(victim)
        : rememberResults((victim) => adaptNoise(scene.noise(victim), links[victim])),
  };
}

/** A function of small whole numbers whose results are kept. */
export function rememberResults<Value>(compute: (index: number) => Value): (index: number) => Value {
  const known: Value[] = [];
  return (index) => {
    known[index] ??= compute(index);
    return known[index];
  };
}
