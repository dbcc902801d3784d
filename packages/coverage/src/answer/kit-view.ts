import type { AntennaPattern } from "@fellmark/antenna";
import type { CoverageRequest, KitSpec } from "@fellmark/network";
import { UNKNOWN_CLUTTER } from "../link/end-clutter.ts";
import { type LinkBudget, linkBudgets } from "../link/link-budget.ts";
import { type Overlap, overlapOf } from "../link/overlap.ts";
import { isSplit, transmittersOf } from "../link/transmitters.ts";
import { noiseForKit, type SectorNoise } from "../sector-noise/sector-noise.ts";
import type { AnswerScene } from "./scene.ts";
import { levelGainOf, type Ports, type Scattered, type Sender, scatteredBy, senderOf } from "./sender.ts";

/** A request as one kit meets it. Heights of the kit play no part in it: see Place. */
export interface KitView {
  scene: AnswerScene;
  /** With this kit in it. */
  request: CoverageRequest;
  links: LinkBudget[];
  senders: Sender[];
  pattern: AntennaPattern;
  scattered: Scattered;
  /** Greatest gain by degrees of azimuth off its aim, linear, whatever is scattered included. */
  levelGain(offAimDeg: number): number;
  /** One where both are alike. */
  ports: Ports;
  overlap(victim: number): Overlap;
  noise(victim: number): SectorNoise;
}

export function kitViewOf(scene: AnswerScene, kit: KitSpec): KitView {
  const { patterns, endsOf } = scene;
  const request = { ...scene.request, kit };
  // What stands around the kit depends on the place and is added there.
  const links = linkBudgets(request, patterns, (sector) => ({ mast: endsOf(sector).mast, kit: UNKNOWN_CLUTTER }));
  const bare = { ...request, model: { ...request.model, clutter: { class: "unknown" as const } } };
  const transmitters = transmittersOf(bare, patterns, links);
  const pattern = patterns.get(kit.antenna, links[0].frequencyGhz);
  const scattered = scatteredBy(request.model, pattern.peakGainDbi);
  return {
    scene,
    request,
    links,
    senders: transmitters.map((transmitter, number) =>
      senderOf(request.model, number, request.sectors[number], transmitter),
    ),
    pattern,
    scattered,
    levelGain: levelGainOf(pattern.gainDbi, { azimuthDeg: 0, downtiltDeg: 0 }, scattered),
    ports: isSplit(transmitters, pattern) ? [0, 1] : [0],
    overlap: remembered((victim) => overlapOf(request, victim)),
    noise:
      kit === scene.request.kit
        ? (victim) => scene.noise(victim)
        : remembered((victim) => noiseForKit(scene.noise(victim), links[victim])),
  };
}

/** A function of small whole numbers whose results are kept. */
export function remembered<Value>(compute: (index: number) => Value): (index: number) => Value {
  const known: Value[] = [];
  return (index) => {
    known[index] ??= compute(index);
    return known[index];
  };
}
