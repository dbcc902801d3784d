import type { AntennaPattern } from "@fellmark/antenna";
import type { EndsOf, Ground, GroundData, LinkBudget, Overlap, Patterns, SectorNoise } from "@fellmark/coverage";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import type { Ports, Scattered, Sender } from "./sender.ts";
import type { Station } from "./station.ts";

/** Everything about a request that no place changes. Opaque: made by prepareAnswers, asked by answerPoint. */
export interface AnswerScene {
  request: CoverageRequest;
  patterns: Patterns;
  /** Clutter around the masts. */
  endsOf: EndsOf;
  effectiveEarthRadiusM: number;
  stations: Station[];
  /** Noise and interference at a sector. */
  noise(victim: number): SectorNoise;
  /** Null where the profile comes from elsewhere. */
  terrain: SceneTerrain | null;
  /** The scene as CPEs meet it, by CPE. */
  views: Map<string, CpeView>;
  /** The same with leaves where there are none and the other way round, once somebody asked. */
  otherSeason: AnswerScene | null;
}

export interface SceneTerrain {
  data: SceneData;
  ground: Ground;
  /** Null in the threads that help. */
  catalogue: TerrainCatalogue | null;
}

/** Parts of a scene on terrain: plain data, large arrays in shared memory, so that threads can be handed it. */
export interface SceneData {
  /** Tells a thread whether it has the scene already. */
  id: string;
  request: CoverageRequest;
  ground: GroundData;
  /** Fingerprint of the terrain. */
  fingerprint: string;
  /** Noise and interference of every sector; null: to be found by drawn subscribers. */
  noise: readonly SectorNoise[] | null;
}

/** A request as one CPE meets it. Heights of the CPE play no part in it: see Place. */
export interface CpeView {
  scene: AnswerScene;
  /** With this CPE in it. */
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
