import { execFileSync } from "node:child_process";
import { readFileSync, rmSync } from "node:fs";
import { hasCommand, needs } from "@fellmark/testkit";

/** True where GDAL's programs are there. */
export function needsGdal(): boolean {
  return needs("gdal_translate", hasCommand("gdal_translate") && hasCommand("gdalwarp") && hasCommand("gdaltransform"));
}

/** Runs one of GDAL's programs and gives its output. */
export function gdal(command: string, args: string[], input = ""): string {
  return execFileSync(command, args, { input, encoding: "utf8", stdio: ["pipe", "pipe", "pipe"], maxBuffer: 2 ** 28 });
}

/** Every value of a raster as GDAL reads it, row-major. `scratch` is a file name that may be written. */
export function gdalValues(path: string, scratch: string): Float64Array {
  gdal("gdal_translate", ["-q", "-of", "ENVI", "-ot", "Float64", path, scratch]);
  const bytes = readFileSync(scratch);
  rmSync(scratch);
  return new Float64Array(bytes.buffer, bytes.byteOffset, bytes.length / 8);
}
