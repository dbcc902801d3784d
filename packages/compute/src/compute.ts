import type { Answer } from "@fellmark/answers";
import type { ResultFile } from "@fellmark/ledger";
import type { TerrainFacts } from "@fellmark/network";
import type { ImportReport } from "@fellmark/premises";
import type { TerrainReport } from "@fellmark/terrain";
import type { BatchTask } from "./batch/batch-task.ts";
import type { BodyCalls } from "./bodies/body-calls.ts";
import type { AdviseTask, CompareTask, CoverTask } from "./job-tasks.ts";
import type { LayerTask, PreparedLayer } from "./layer-task.ts";
import type { PlaceCalls } from "./place-calls.ts";
import type {
  AnswerTask,
  CalibrationTask,
  DrawTask,
  InstallTask,
  PlaceTask,
  ServiceabilityTask,
} from "./place-tasks.ts";
import type { ImportPremisesTask } from "./premises-task.ts";
import type { AntennaReply, AntennaTask } from "./report-antennas.ts";
import type { TerrainQuestion } from "./terrain-facts.ts";

/** Limits of one call into the compute child. Past either the child is killed and the call rejects. */
export interface CallLimits {
  deadlineMs: number;
  signal?: AbortSignal;
  onProgress?: (progress: number, stage: string) => void;
}

export interface TerrainState {
  /** Catalogue version: changes when any tile or set changes. */
  fingerprint: string;
  tiles: number;
  refused: { name: string; reason: string }[];
}

/** Reply of the child to a call about places. */
export type Reply<Name extends keyof PlaceCalls> = PlaceCalls[Name][1];

/**
 * Heavy work in a killable child process with a deadline and a memory cap.
 * Errors: code 'timeout', 'memory', 'worker_killed', 'cancelled' from the parent side; anything the child throws
 * comes back as its own error (see fromErrorRecord), never a bare string.
 */
export interface Compute {
  /** Returns the files that were written, as do the other kinds of jobs. */
  cover(task: CoverTask, limits: CallLimits): Promise<ResultFile[]>;
  compare(task: CompareTask, limits: CallLimits): Promise<ResultFile[]>;
  advise(task: AdviseTask, limits: CallLimits): Promise<ResultFile[]>;
  terrainState(terrainDir: string, limits: CallLimits): Promise<TerrainState>;
  /** Facts that a request or network is checked against. Rejects with InputError for sets that do not fit. */
  terrainFacts(terrainDir: string, question: TerrainQuestion, limits: CallLimits): Promise<TerrainFacts>;
  answer(task: AnswerTask, limits: CallLimits): Promise<Answer>;
  /** Opens a network, so that whoever asks it next need not wait. */
  prepare(task: PlaceTask, limits: CallLimits): Promise<null>;
  /** A place as people ask for it. */
  serviceability(task: ServiceabilityTask, limits: CallLimits): Promise<Reply<"serviceability">>;
  /** Expected against measured at a mounted CPE. */
  install(task: InstallTask, limits: CallLimits): Promise<Reply<"install">>;
  /** Calibration by measured links. */
  calibration(task: CalibrationTask, limits: CallLimits): Promise<Reply<"calibration">>;
  /** A profile as picture: text for SVG, bytes for PNG. */
  draw(task: DrawTask, limits: CallLimits): Promise<string | Uint8Array>;
  /** Answers leads; goes on behind what an attempt that was killed has left in the work folder. */
  batch(task: BatchTask, limits: CallLimits): Promise<ResultFile[]>;
  /** Makes a file the tenant's list of premises, whole or not at all. */
  importPremises(task: ImportPremisesTask, limits: CallLimits): Promise<ImportReport>;
  /** Work on the body of a request that would keep the calling process busy. */
  workOnBody<Name extends keyof BodyCalls>(
    name: Name,
    sent: BodyCalls[Name][0],
    limits: CallLimits,
  ): Promise<BodyCalls[Name][1]>;
  /** Makes every file of a layer from the classes of a coverage. */
  prepareLayer(task: LayerTask, limits: CallLimits): Promise<PreparedLayer>;
  /** Measures and picture of antennas. */
  antennaReport(task: AntennaTask, limits: CallLimits): Promise<AntennaReply>;
  /** Everything there is to say of a folder of rasters; reads every cell. */
  terrainReport(terrainDir: string, limits: CallLimits): Promise<TerrainReport>;
  /** Kills the child, if there is one; idempotent. */
  close(): Promise<void>;
}
