import {
  type Answer,
  type AnswerScene,
  answerAtLocation,
  answerMany,
  listLocationPoints,
  type PlaceQuestion,
  prepareAnswers,
} from "@fellmark/answers";
import type { Engine } from "@fellmark/coverage";
import type { LonLat } from "@fellmark/geodesy";
import { type BatchRequest, requestOfBatch } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";

/** A place, within a circle of so many metres, with the height of its mount; without one, as for all. */
export interface PlaceToAnswer {
  at: LonLat;
  locationAccuracyM: number;
  heightAglM: number | null;
}

/** Answers to places, in their order. */
export type AnswerPlaces = (places: readonly PlaceToAnswer[]) => Promise<Answer[]>;

/** Answers the places of a batch on all threads; their common part is prepared when the first are asked for. */
export function createAnswerPlaces(engine: Engine, catalogue: TerrainCatalogue, batch: BatchRequest): AnswerPlaces {
  let scene: Promise<AnswerScene> | undefined;
  return async (places) => {
    scene ??= prepareAnswers(engine, catalogue, requestOfBatch(batch));
    const circles = places.map((place) => ({
      ...place,
      points: listLocationPoints(place.at, place.locationAccuracyM),
    }));
    const asked = circles.flatMap(({ points, heightAglM }) =>
      points.map((at) => ({ at, question: toQuestion(batch, heightAglM) })),
    );
    const answers = await answerMany(engine, await scene, asked);
    let next = 0;
    return circles.map(({ points, locationAccuracyM }) => {
      const own = answers.slice(next, next + points.length);
      next += points.length;
      return answerAtLocation(own, points, locationAccuracyM).answer;
    });
  };
}

function toQuestion({ plan, heightAglM: ofAll }: BatchRequest, own: number | null): PlaceQuestion {
  const heightAglM = own ?? ofAll;
  return { ...(plan !== undefined && { plan }), ...(heightAglM !== undefined && { heightAglM }) };
}
