import type { ResultFile } from "@fellmark/ledger";
import type { TerrainFacts } from "@fellmark/network";
import type { ImportReport } from "@fellmark/premises";
import type { KnownHash, TerrainReport } from "@fellmark/terrain";
import type { ErrorRecord } from "@fellmark/units";
import type { BatchTask } from "./batch/batch-task.ts";
import type { BodyCalls } from "./bodies/body-calls.ts";
import type { TerrainState } from "./compute.ts";
import type { AdviseTask, CompareTask, CoverTask } from "./job-tasks.ts";
import type { LayerTask, PreparedLayer } from "./layer-task.ts";
import type { PlaceCalls } from "./place-calls.ts";
import type { ImportPremisesTask } from "./premises-task.ts";
import type { AntennaReply, AntennaTask } from "./report-antennas.ts";
import type { TerrainQuestion } from "./terrain-facts.ts";

/** Calls of the child: name of the call -> [arguments, reply]. */
export interface Calls extends PlaceCalls, BodyCalls {
  cover: [CoverTask, ResultFile[]];
  compare: [CompareTask, ResultFile[]];
  advise: [AdviseTask, ResultFile[]];
  terrainState: [{ terrainDir: string }, TerrainState];
  batch: [BatchTask, ResultFile[]];
  importPremises: [ImportPremisesTask, ImportReport];
  prepareLayer: [LayerTask, PreparedLayer];
  antennaReport: [AntennaTask, AntennaReply];
  terrainReport: [{ terrainDir: string }, TerrainReport];
  terrainFacts: [{ terrainDir: string; question: TerrainQuestion }, TerrainFacts];
}

export type CallName = keyof Calls;

/** Parent to child. */
export interface CallMessage<Name extends CallName = CallName> {
  number: number;
  name: Name;
  args: Calls[Name][0];
}

/** Parent to child: hashes of terrain files that other children have made. */
export interface HashesMessage {
  hashes: KnownHash[];
}

/** Child to parent; `number` says which call it belongs to. */
export type ChildMessage =
  | { kind: "hashes"; hashes: KnownHash[] }
  | { kind: "progress"; number: number; progress: number; stage: string }
  | { kind: "reply"; number: number; value: unknown }
  | { kind: "error"; number: number; error: ErrorRecord };
