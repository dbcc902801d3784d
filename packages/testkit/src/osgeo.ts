import { execFileSync } from "node:child_process";
import { hasCommand, needs } from "./needs.ts";

/** Debian's GDAL bindings belong to the system's own Python. */
export const PYTHON = "/usr/bin/python3";

/** Whether GDAL's bindings for Python are there; where they are not, the run names what it skipped. */
export function needsOsgeo(): boolean {
  return needs("python3-gdal", hasOsgeo());
}

function hasOsgeo(): boolean {
  if (!hasCommand("gdalinfo")) return false;
  try {
    execFileSync(PYTHON, ["-c", "from osgeo import ogr"], { stdio: "ignore" });
    return true;
  } catch {
    return false;
  }
}
