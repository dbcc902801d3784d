import type { LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, KitSpec } from "@fellmark/network";
import type { EndClutterClass } from "@fellmark/propagation";
import type { Answer } from "../answer/answer.ts";

/** What may differ from the request at one place. */
export interface PlaceChange {
  kit?: Partial<KitSpec>;
  heightAglM?: number;
  /** The plan that the verdict is about; default: the cheapest. */
  plan?: string;
  withProfile?: boolean;
  /** Sectors that may serve; default: all within the service radius. */
  sectors?: string[];
}

/** What stands at a place. */
interface ClutterHere {
  kind: EndClutterClass;
  heightM: number;
}

/** An answer with everything that people want to know of it. */
export interface AnswerInFull extends Answer {
  plans: { plan: string; probability: number; leastHeightAglM: number | null }[];
  clutter: { known: boolean; mast: ClutterHere[]; kit: ClutterHere | null };
  leaf: { in: StandingPlan; out: StandingPlan } | null;
  inputs: { model: string; terrain: string; correction: string | null; network?: string };
  warnings: { code: string; pointer: string; detail: string }[];
}

interface StandingPlan {
  plan: string | null;
  probability: number;
}

/** A network over its terrain, as everything here asks it. */
export interface AnsweringNetwork {
  request: CoverageRequest;
  /** Kits that a subscriber or a measured link may name. */
  kits: ReadonlyMap<string, KitSpec>;
  ask(at: LonLat, change?: PlaceChange): Promise<AnswerInFull>;
  /** Whether the ground at a place is known. */
  isGroundKnown(at: LonLat): Promise<boolean>;
}

/** Level per chain at one end of a link, dBm. */
export function signalDbm(terms: readonly { term: string; db: number }[]): number {
  return terms.find(({ term }) => term === "signal")?.db ?? Number.NaN;
}
