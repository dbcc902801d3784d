import {
  type BudgetTerm,
  describeStatisticalLaw,
  isStatistical,
  listEndLaws,
  listPathLaws,
  type PartLaw,
} from "@fellmark/coverage";
import type { ModelSpec } from "@fellmark/network";
import type { BlockingPoint, PathSight } from "@fellmark/propagation";
import type { Arrival } from "../reception/arrival.ts";
import { findInTheWay, type InTheWay, passesBelowClass } from "../reception/in-the-way.ts";
import { listSignalTerms } from "../reception/link-level.ts";
import {
  computeNoiseRiseDb,
  computeSinrDownDb,
  computeSinrUpDb,
  computeTotalSigmaDb,
  findHeldRates,
  findRatesNow,
  type RatedLink,
} from "../reception/margins.ts";
import { findObstacles, type Obstacles } from "../reception/obstacles.ts";
import type { Place } from "../reception/place.ts";
import type { CpeView } from "../scene/scene.ts";

/** One sector's link to the place. Terms are signed contributions in dB; azimuth and elevation aim the CPE. */
export interface AnswerLink {
  sector: string;
  distanceM: number;
  azimuthDeg: number | null;
  elevationDeg: number;
  class: "clear" | "grazing" | "blocked";
  fresnelClearance: number | null;
  /** The highest of the obstacles. */
  blocking: BlockingPoint | null;
  /** Obstacles in the line of sight or 60 % of the first Fresnel zone: the worst of each kind, the worst kind first. */
  inTheWay: InTheWay[];
  /** Length of the ray in measured trees, m. */
  canopyLengthM: number;
  /** Laws of what the link loses to clutter, by part, and whether each is stated there. */
  clutterLaws: PartLaw[];
  /** True where the line passes below the height of a land-cover class on the way, which the loss does not count. */
  isBelowClass: boolean;
  /** Every separate obstacle over the line, the highest first, at most five. */
  obstacles: BlockingPoint[];
  /** Distances from the mast of the points that mast and CPE see highest. */
  horizons: { mastDistanceM: number | null; cpeDistanceM: number | null };
  /** Share of the profile without a known height, bridged by straight lines. */
  notKnownShare: number;
  /** Planned rates: net speeds that hold with the margins. */
  downMbps: number;
  upMbps: number;
  /** Rates now: net speeds as predicted, without fading and without margins. */
  downNowMbps: number;
  upNowMbps: number;
  sinrDownDb: number;
  sinrUpDb: number;
  /** SINR by port of the CPE (polarisation); one where both are alike. */
  ports: { sinrDownDb: number; sinrUpDb: number }[];
  down: BudgetTerm[];
  up: BudgetTerm[];
}

/** The report of a link. */
export function answerLink(context: LinkContext, rated: RatedLink): AnswerLink {
  const { model, cpeM, effectiveEarthRadiusM, obstaclesOn } = context;
  const { link, arrival } = rated.level;
  const { route, loss, sender } = arrival;
  const heights = { txHeightAglM: sender.heightAglM, rxHeightAglM: cpeM };
  const setup = { heights, frequencyGhz: sender.frequencyGhz, effectiveEarthRadiusM };
  const { path } = route;
  const { blocking, mastHorizonM, cpeHorizonM } = obstaclesOn(arrival);
  return {
    sector: link.sector.id,
    distanceM: path.distanceM,
    azimuthDeg: path.backAzimuthDeg,
    elevationDeg: loss.arrivalElevationDeg,
    class: loss.class,
    fresnelClearance: Number.isFinite(loss.fresnelClearance) ? loss.fresnelClearance : null,
    blocking: blocking[0] ?? null,
    obstacles: blocking,
    inTheWay: route.isKnown ? findInTheWay(path, setup) : [],
    canopyLengthM: loss.canopyLengthM,
    clutterLaws: context.listLaws(rated),
    isBelowClass: route.isKnown && passesBelowClass(path, setup.heights, effectiveEarthRadiusM),
    horizons: { mastDistanceM: mastHorizonM, cpeDistanceM: cpeHorizonM },
    notKnownShare: path.notKnownShare,
    ...findHeldRates(rated),
    ...findRatesNow(rated),
    ...listBudget(model, rated),
  };
}

/** Context that the report of a link needs. */
export interface LinkContext {
  model: ModelSpec;
  /** Height of the CPE above ground, m. */
  cpeM: number;
  effectiveEarthRadiusM: number;
  obstaclesOn(arrival: Arrival): Obstacles;
  listLaws(link: RatedLink): PartLaw[];
}

/** The sectors of one mast share their line, and what stands in it. */
export function linkContext(view: CpeView, place: Pick<Place, "clutter">, cpeM: number): LinkContext {
  const { request, scene } = view;
  const known = new Map<PathSight, Obstacles>();
  return {
    model: request.model,
    cpeM,
    effectiveEarthRadiusM: scene.effectiveEarthRadiusM,
    listLaws: ({ level: { link, arrival } }) => {
      const { frequencyGhz, sector } = link;
      const mast = { around: scene.endsOf(sector).mast, antennaM: sector.heightAglM, frequencyGhz };
      const { canopyLengthM, clutterPathDb } = arrival.loss;
      return [
        ...listEndLaws(request.model, "mast", mast),
        ...(clutterPathDb > 0 ? listPathLaws(request.model, { canopyLengthM, frequencyGhz }) : []),
        ...(isStatistical(request.model)
          ? [describeStatisticalLaw(frequencyGhz)]
          : listEndLaws(request.model, "cpe", { around: place.clutter, antennaM: cpeM, frequencyGhz })),
      ];
    },
    obstaclesOn({ sight, sender }) {
      const heights = { txHeightAglM: sender.heightAglM, rxHeightAglM: cpeM };
      const obstacles = known.get(sight) ?? findObstacles(sight.path, heights, scene.effectiveEarthRadiusM);
      known.set(sight, obstacles);
      return obstacles;
    },
  };
}

/** SINR and the full list of terms, both ways. Noise counts as a contribution: what is taken off the signal's level. */
function listBudget(
  model: ModelSpec,
  rated: RatedLink,
): Pick<AnswerLink, "sinrDownDb" | "sinrUpDb" | "ports" | "down" | "up"> {
  const { level, margins } = rated;
  const { link } = level;
  const upThermalDbm = link.up.noiseDbm;
  const sinrUpDb = computeSinrUpDb(rated);
  const upSigmaDb = Math.sqrt(margins.sigmaDb ** 2 + margins.upNoise.up.variance);
  const tail = (noiseDbm: number, raisedDb: number, sinrDb: number, sigmaDb: number) => [
    { term: "noise", db: -noiseDbm },
    { term: "interference", db: 0 - raisedDb },
    { term: "sinr", db: sinrDb },
    { term: "fade-margin", db: -margins.fadeDb },
    { term: "confidence-margin", db: -margins.confidenceFactor * sigmaDb },
  ];
  const down = [
    ...listSignalTerms(model, level, link.down),
    ...tail(margins.downNoiseDbm, computeNoiseRiseDb(margins), computeSinrDownDb(rated), computeTotalSigmaDb(margins)),
  ];
  const up = [
    ...listSignalTerms(model, level, link.up),
    ...tail(upThermalDbm, margins.upNoise.meanDbm - upThermalDbm, sinrUpDb, upSigmaDb),
  ];
  const ports = rated.ports.map((port) => ({ sinrDownDb: computeSinrDownDb(port), sinrUpDb: computeSinrUpDb(port) }));
  return { sinrDownDb: computeSinrDownDb(rated), sinrUpDb, ports, down, up };
}
