import { execFileSync } from "node:child_process";
import { hasCommand, needs } from "./needs.ts";

/** Debian's GDAL bindings belong to the system's own Python. */
export const PYTHON = "/usr/bin/python3";

/** Returns true where GDAL's bindings for Python are present; otherwise the run names the tests that it skipped. */
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
