import { fitWindow } from "@fellmark/geodesy";
import { openCatalogue, openMosaic, readWindow } from "@fellmark/terrain";
import { FellmarkError } from "@fellmark/units";

/** The result of reading a folder with one raster. */
export interface Examination {
  outcome: "refused" | "unreadable" | "read" | "untyped error";
  /** Reason of a refusal or of an error. */
  reason: string;
  /** Every cell, NaN where not known; empty unless it was read. */
  cells: Float32Array;
}

/** Reads the one raster of a folder as a job does: its catalogue, all its cells, and a window in its middle. */
export async function examine(folder: string): Promise<Examination> {
  try {
    const catalogue = await openCatalogue(folder);
    const [file] = catalogue.files;
    if (!file) return { outcome: "refused", reason: catalogue.refused[0]?.reason ?? "", cells: new Float32Array() };
    const [west, south, east, north] = file.bbox;
    const middle = { lon: (west + east) / 2, lat: Math.max(-80, Math.min(80, (south + north) / 2)) };
    await readWindow(catalogue, ["default"], fitWindow([middle], 10_000, 11), { fillVoids: false });
    const { data } = await openMosaic(catalogue, ["default"], file.bbox);
    return { outcome: "read", reason: "", cells: data.groups[0]?.cells.values ?? new Float32Array() };
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    return {
      outcome: error instanceof FellmarkError ? "unreadable" : "untyped error",
      reason,
      cells: new Float32Array(),
    };
  }
}
