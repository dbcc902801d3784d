import type { LayerFacts, LayerOutline, LayerRaster } from "@fellmark/layers";
import type { ResultFile } from "@fellmark/ledger";

/** A layer to prepare from the result of a coverage. */
export interface LayerTask {
  /** Paths of the coverage's classes and of its summary. */
  classesFile: string;
  summaryFile: string;
  /** An existing empty folder; receives every file of the layer. */
  outDir: string;
  /** Description of the layer by its owner. */
  facts: Pick<LayerFacts, "title" | "attribution" | "validFrom" | "validUntil">;
}

/** A layer whose files are written. */
export interface PreparedLayer {
  files: ResultFile[];
  /** Public description, without its version. */
  description: LayerFacts & LayerOutline & Pick<LayerRaster, "plans">;
}
