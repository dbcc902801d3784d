import { toCanonicalJson } from "@fellmark/network";
import type { LayerInput } from "./layers/build-layer-job.ts";
import type { LayerJob } from "./layers/layer-job.ts";
import { createRow } from "./layers/row.ts";
import type { KeptRows } from "./layers/strip.ts";

/**
 * Levels of every sector in every cell, kept from one coverage to the next: where only sectors change, only their levels
 * are computed anew. Holds those of one coverage.
 */
export interface LevelStore {
  /** Rows of the job, strip by strip, with what has changed since they were filled; null where they are too large. */
  rowsFor(input: LayerInput, job: LayerJob, stripRows: number): KeptRows[] | null;
  /** Says that the rows are filled for the job they were last given out for. */
  settle(): void;
}

export function createLevelStore(maxBytes: number): LevelStore {
  let held: { scene: string; sources: string[]; strips: KeptRows[]; isFilled: boolean } | undefined;
  return {
    rowsFor(input, job, stripRows) {
      const scene = keyScene(input, job);
      const sources = keySources(input);
      if (held?.scene === scene && held.isFilled) {
        const changed = sources.flatMap((key, source) => (key === held?.sources[source] ? [] : [source]));
        for (const strip of held.strips) strip.changed = changed;
        held = { ...held, sources, isFilled: false };
        return held.strips;
      }
      held = undefined;
      const strips = createStrips(job, stripRows, maxBytes);
      if (strips) held = { scene, sources, strips, isFilled: false };
      return strips;
    },
    settle() {
      if (held) held.isFilled = true;
    },
  };
}

/** Everything that the paths and the order of the sources depend on. */
function keyScene({ request, masts, mastOfSource }: LayerInput, job: LayerJob): string {
  const { cpe, model, terrain, quality } = request;
  const { window, ports } = job;
  const antennas = request.antennas.filter(({ id }) => id === cpe.antenna);
  // Rows hold more where sources come and go: see emptyRow.
  const isSteady = job.sectors.every(({ activity }) => activity === null);
  return toCanonicalJson({ cpe, model, terrain, quality, window, ports, masts, mastOfSource, antennas, isSteady });
}

/** Everything that the level of each source depends on beside the scene. */
function keySources({ request }: LayerInput): string[] {
  const { antennas, radios } = request;
  const withParts = (source: { antenna?: string | undefined; radio?: string }) =>
    toCanonicalJson({
      source,
      antenna: antennas.find(({ id }) => id === source.antenna) ?? null,
      radio: radios.find(({ id }) => id === source.radio) ?? null,
    });
  return [...request.sectors.map(withParts), ...request.emitters.map(withParts)];
}

function createStrips(job: LayerJob, stripRows: number, maxBytes: number): KeptRows[] | null {
  const { height, width } = job.window;
  if (countRowBytesPerCell(job) * width * height > maxBytes) return null;
  return Array.from({ length: Math.ceil(height / stripRows) }, (_, strip) => ({
    rows: Array.from({ length: Math.min(stripRows, height - strip * stripRows) }, () => createRow(job)),
    changed: null,
  }));
}

/** Bytes that a row keeps for each of its cells; see Row and RowPaths. */
function countRowBytesPerCell({ masts, sources, ports }: LayerJob): number {
  return 44 + masts.length * 38 + ports * (12 + 4 * masts.length + 8 * sources.length);
}
