import { join } from "node:path";
import type { Option } from "commander";
import { type CliConfig, resolvePath } from "../config.ts";
import { createNumberOption, createTextOption } from "./options.ts";

/** The options that say how the columns of a table are read. */
export function createColumnOptions(): [map: Option, crs: Option] {
  return [
    createTextOption(
      "--map <ROLE=COLUMN,...>",
      "columns by role: id, address, house, street, unit, town, region, postcode, lon, lat, quality, premises, height " +
        "(default: by their usual names)",
    ),
    createNumberOption("--crs <EPSG>", "coordinate system of the places, EPSG code", {
      min: 1,
      max: 1_000_000,
      isWhole: true,
      fallback: "4326, degrees",
    }),
  ];
}

/** The data folder of a service; premises lists are in it. */
export function createDataOption(description: string): Option {
  return createTextOption("--db <DIR>", `${description} (default: .data)`);
}

export function resolvePremisesDir(config: CliConfig, db = ".data"): string {
  return join(resolvePath(config, db), "premises");
}
