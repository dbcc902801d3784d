import { rm, writeFile } from "node:fs/promises";
import path from "node:path";
import { CAUTION, type Engine } from "@fellmark/coverage";
import type { ResultFile } from "@fellmark/ledger";
import { type BatchRequest, requestOfBatch, toCanonicalNetwork } from "@fellmark/network";
import {
  findLeadPlace,
  type Lead,
  type LeadTable,
  openPremisesList,
  type PremisesList,
  parseColumnMap,
  readLeads,
} from "@fellmark/premises";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { FellmarkError, TransientError } from "@fellmark/units";
import { describeResult, type ResultFacts } from "../describe-result.ts";
import { runOverPinnedTerrain } from "../pinned-terrain.ts";
import type { ProgressListener } from "../progress-listener.ts";
import { openResultFolder } from "../result-folder.ts";
import { type AnswerPlaces, createAnswerPlaces } from "./answer-places.ts";
import { createBatchCounter } from "./batch-summary.ts";
import type { BatchTask } from "./batch-task.ts";
import { type ChunkFiles, openChunkFiles } from "./chunk-files.ts";
import { type LeadLine, toLine } from "./lead-answer.ts";
import { writeAnswers } from "./write-answers.ts";

/** Leads that are answered, and kept for an attempt that goes on, at a time: a fraction of a second of work. */
export const CHUNK_LEADS = 500;

/**
 * Answers leads and writes answers.csv, answers.geojson and summary.json into the task's folder; goes on behind the
 * chunks that an earlier attempt left over the same terrain. Throws InputError for leads that cannot be read, FellmarkError 'premises_changed'
 * when another list of premises took the place of the one that was asked for.
 */
export function runBatch(engine: Engine, task: BatchTask, onProgress: ProgressListener): Promise<ResultFile[]> {
  return runOverPinnedTerrain(task, (catalogue) => answerBatch(catalogue, engine, task, onProgress));
}

async function answerBatch(
  catalogue: TerrainCatalogue,
  engine: Engine,
  task: BatchTask,
  onProgress: ProgressListener,
): Promise<ResultFile[]> {
  const { request, outDir } = task;
  const list = await openPremisesList(task.premisesDir, task.tenant);
  try {
    requireSameList(list, request);
    const { columns, leads } = await readTaskLeads(task);
    // Answers over another terrain, which an attempt before it changed has left, are none of these.
    const chunks = await openChunkFiles(path.join(task.workDir, catalogue.fingerprint));
    const answer = createAnswerPlaces(engine, catalogue, request);
    await answerChunks({ leads, list, chunks, answer, onProgress });
    const counter = createBatchCounter();
    for await (const lines of readChunks(chunks, leads.length)) counter.add(lines);
    const result = openResultFolder(outDir);
    const facts = describeBatch(task, catalogue);
    const own = { columns, cellsOf: (lead: number) => leads[lead].cells };
    for (const name of await writeAnswers(outDir, () => readChunks(chunks, leads.length), facts, own)) {
      await result.record(name);
    }
    const summary = {
      version: 1,
      ...facts,
      terrain: { fingerprint: catalogue.fingerprint, refused: catalogue.refused },
      premises: request.premises,
      ...counter.counts(),
      caution: CAUTION,
    };
    await result.write("summary.json", `${JSON.stringify(summary, null, 1)}\n`);
    onProgress(1, "done");
    return result.files();
  } finally {
    list?.close();
  }
}

/** Facts of a batch; the version of a network that stands in it is computed from its content. */
function describeBatch({ request, ...task }: BatchTask, catalogue: TerrainCatalogue): ResultFacts {
  const { source } = request;
  const network = "document" in source ? { networkVersion: toCanonicalNetwork(source.document).version } : {};
  return describeResult(task, { ...requestOfBatch(request), ...network }, catalogue);
}

function requireSameList(list: PremisesList | undefined, { premises }: BatchRequest): void {
  if ((list?.version ?? null) === premises) return;
  throw new FellmarkError("premises_changed", "the list of premises was imported anew since: submit the batch again");
}

/** The readers read files: the text becomes one for as long as that takes. */
async function readTaskLeads({ request: { leads }, outDir }: BatchTask): Promise<LeadTable> {
  const file = path.join(outDir, "leads");
  await writeFile(file, leads.text);
  try {
    return await readLeads(file, { ...leads, map: parseColumnMap(leads.map) });
  } finally {
    await rm(file);
  }
}

interface Answering {
  leads: readonly Lead[];
  list: PremisesList | undefined;
  chunks: ChunkFiles;
  answer: AnswerPlaces;
  onProgress: ProgressListener;
}

async function answerChunks({ leads, list, chunks, answer, onProgress }: Answering): Promise<void> {
  for (let first = 0; first < leads.length; first += CHUNK_LEADS) {
    const index = first / CHUNK_LEADS;
    const chunk = leads.slice(first, first + CHUNK_LEADS);
    if ((await chunks.read(index)) === undefined) await chunks.write(index, await answerLeads(chunk, list, answer));
    onProgress((first + chunk.length) / (leads.length + 1), "answering");
  }
}

async function answerLeads(
  leads: readonly Lead[],
  list: PremisesList | undefined,
  answer: AnswerPlaces,
): Promise<LeadLine[]> {
  const places = leads.map((lead) => ({ lead, place: findLeadPlace(list, lead) }));
  const toAnswer = places.flatMap(({ lead, place }) =>
    "at" in place ? [{ at: place.at, locationAccuracyM: place.locationAccuracyM, heightAglM: lead.heightAglM }] : [],
  );
  const answers = (await answer(toAnswer)).values();
  return places.map(({ lead, place }) =>
    toLine({ lead, place, answer: "at" in place ? (answers.next().value ?? null) : null }),
  );
}

async function* readChunks(chunks: ChunkFiles, leads: number): AsyncGenerator<LeadLine[]> {
  for (let index = 0; index * CHUNK_LEADS < leads; index++) {
    const lines = await chunks.read(index);
    if (!lines) throw new TransientError("source_unavailable", "answers of this batch were removed while it ran");
    yield lines;
  }
}
