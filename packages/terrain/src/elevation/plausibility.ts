import { findValueRange } from "../catalogue/value-range.ts";
import type { OutsideCells } from "../raster/read-cells.ts";

/** A warning about heights that do not exist on Earth, from feet in place of metres or a no-data value without a tag. */
export interface PlausibilityFlag {
  code: "terrain_too_low" | "terrain_too_high";
  /** Cells of the rasters that were read for the window. */
  cells: number;
  detail: string;
}

export function flagImplausible({ low, high }: OutsideCells): PlausibilityFlag[] {
  const { lowest, highest } = findValueRange("unknown");
  const flags: PlausibilityFlag[] = [
    { code: "terrain_too_low", cells: low, detail: `${low} cells lie below ${lowest} m and count as not known` },
    { code: "terrain_too_high", cells: high, detail: `${high} cells lie above ${highest} m and count as not known` },
  ];
  return flags.filter(({ cells }) => cells > 0);
}
