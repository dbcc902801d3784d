import { TerrainError } from "@fellmark/units";

/** The error for a raster that cannot be used. `reason` follows the file's name in reports. */
export function refuseRaster(reason: string, cause?: unknown): TerrainError {
  return new TerrainError("raster_refused", reason, { cause });
}
