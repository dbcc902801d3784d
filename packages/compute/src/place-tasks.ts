import type { Installation, PlaceQuestion, ServiceQuestion, SurveyedProfile } from "@fellmark/answers";
import type { LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, MeasuredRow } from "@fellmark/network";
import type { ProfileToDraw } from "@fellmark/picture";

/** A place to answer: from the terrain (then `at` is given), or from a surveyed profile. */
export interface AnswerTask {
  request: CoverageRequest;
  at: LonLat | null;
  terrainDir?: string;
  profile?: SurveyedProfile;
  /** Differences from the request at this place. */
  question?: PlaceQuestion;
}

/** The network that answers: a request, or a network that is kept, whose document is read when the child lacks it. */
export type AnsweringSource = { request: CoverageRequest } | { network: KeptNetwork; radiusM: number; cpe?: string };

export interface KeptNetwork {
  /** Name of its content. */
  version: string;
  /** Its canonical JSON. */
  document(): Promise<string>;
}

/** A question about a place, and its terrain. */
export interface PlaceTask {
  source: AnsweringSource;
  terrainDir: string;
}

export interface ServiceabilityTask extends PlaceTask {
  question: ServiceQuestion;
}

export interface InstallTask extends PlaceTask {
  installation: Installation;
}

export interface CalibrationTask extends PlaceTask {
  /** Absent: the subscribers of whom a level was measured. */
  rows?: MeasuredRow[];
  /** Rows measured later are refused, ms since 1970. */
  nowMs: number;
}

/** A profile to draw. */
export interface DrawTask {
  profile: ProfileToDraw;
  format: "svg" | "png";
}
