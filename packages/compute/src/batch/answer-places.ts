import {
  type Answer,
  type AnswerScene,
  answerMany,
  type Engine,
  type PlaceQuestion,
  prepareAnswers,
} from "@fellmark/coverage";
import type { LonLat } from "@fellmark/geodesy";
import { type BatchRequest, requestOfBatch } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";

/** A place with the height of its mount; without one, as for all. */
export interface PlaceToAnswer {
  at: LonLat;
  heightAglM: number | null;
}

/** Answers to places, in their order. */
export type AnswerPlaces = (places: readonly PlaceToAnswer[]) => Promise<Answer[]>;

/** What answers the places of a batch on all threads; what they share is prepared when the first are asked for. */
export function createAnswerPlaces(engine: Engine, catalogue: TerrainCatalogue, batch: BatchRequest): AnswerPlaces {
  let scene: Promise<AnswerScene> | undefined;
  return async (places) => {
    scene ??= prepareAnswers(engine, catalogue, requestOfBatch(batch));
    const asked = places.map(({ at, heightAglM }) => ({ at, question: questionOf(batch, heightAglM) }));
    return answerMany(engine, await scene, asked);
  };
}

function questionOf({ plan, heightAglM: ofAll }: BatchRequest, own: number | null): PlaceQuestion {
  const heightAglM = own ?? ofAll;
  return { ...(plan !== undefined && { plan }), ...(heightAglM !== undefined && { heightAglM }) };
}
