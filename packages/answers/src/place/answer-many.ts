import type { Engine } from "@fellmark/coverage";
import type { LonLat } from "@fellmark/geodesy";
import { createSceneOfData } from "../scene/prepare-answers.ts";
import type { AnswerScene, SceneData } from "../scene/scene.ts";
import { type Answer, answerInRange, answerPoint, type PlaceQuestion } from "./answer.ts";

/** A place of many, and what is asked about it. */
export interface PlaceAsked {
  at: LonLat;
  question?: PlaceQuestion;
}

/** Places for all threads: each takes the next few that nobody has taken. */
export interface AnswersTask {
  scene: SceneData;
  places: readonly PlaceAsked[];
  /** One number in shared memory: how many places are taken. */
  taken: Int32Array;
}

/** The module that threads load for an AnswersTask. */
const ANSWERS_MODULE = new URL("../../dist/place/answer-many.js", import.meta.url).href;

/** Links that are told of a place where no other number is asked for: the best alone. */
const LINKS_OF_MANY = 1;

/** Places that a thread takes at a time. */
const BLOCK = 16;

/** Answers of a block by the place of its first; null where no site is in range. */
interface AnsweredBlock {
  first: number;
  answers: (Answer | null)[];
}

/**
 * Answers places on all threads, in their order. The threads share the terrain, and keep the scene for the next call.
 * Throws InputError as answerPoint does for the first place, FellmarkError where a thread fails.
 */
export async function answerMany(
  engine: Pick<Engine, "pool">,
  scene: AnswerScene,
  places: readonly PlaceAsked[],
): Promise<Answer[]> {
  const { terrain } = scene;
  if (!terrain) throw new TypeError("a scene without terrain answers no places");
  if (places.length === 0) return [];
  const asked = places.map(({ at, question }) => ({ at, question: { links: LINKS_OF_MANY, ...question } }));
  // What a question has wrong shows here by its field; an error of a thread has lost it.
  await answerPoint(scene, asked[0].at, asked[0].question);
  const taken = new Int32Array(new SharedArrayBuffer(4));
  const input: AnswersTask = { scene: terrain.data, places: asked, taken };
  const replies = await engine.pool.runOnAll({ module: ANSWERS_MODULE, input });
  const answers: Answer[] = [];
  for (const { first, answers: found } of (replies as AnsweredBlock[][]).flat()) {
    for (const [index, answer] of found.entries()) {
      const { at, question } = asked[first + index];
      answers[first + index] = answer ?? (await answerPoint(scene, at, question));
    }
  }
  return answers;
}

/** The scene of the last call, which the next one most likely is about. */
let kept: { id: string; scene: AnswerScene } | undefined;

/** Takes blocks of places from the counter until none is left. */
export function runTask({ scene: data, places, taken }: AnswersTask): AnsweredBlock[] {
  if (kept?.id !== data.id) kept = { id: data.id, scene: createSceneOfData(data, null) };
  const { scene } = kept;
  const blocks: AnsweredBlock[] = [];
  for (;;) {
    const first = Atomics.add(taken, 0, BLOCK);
    if (first >= places.length) return blocks;
    const answers = places
      .slice(first, first + BLOCK)
      .map(({ at, question = {} }) => answerInRange(scene, at, question));
    blocks.push({ first, answers });
  }
}
