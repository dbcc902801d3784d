/** Limits of the heights of dry land: the shore of the Dead Sea at -430 m and Everest at 8,849 m, with some margin. */
const LOWEST_AMSL_M = -500;
const HIGHEST_AMSL_M = 9000;

/** A warning about heights that do not exist on Earth, from feet in place of metres or a no-data value without a tag. */
export interface PlausibilityFlag {
  code: "terrain_too_low" | "terrain_too_high";
  cells: number;
  detail: string;
}

export function flagImplausible(heightsAmslM: Float32Array): PlausibilityFlag[] {
  let low = 0;
  let high = 0;
  for (let cell = 0; cell < heightsAmslM.length; cell++) {
    const height = heightsAmslM[cell] as number;
    if (height < LOWEST_AMSL_M) low++;
    else if (height > HIGHEST_AMSL_M) high++;
  }
  const flags: PlausibilityFlag[] = [];
  if (low > 0) flags.push({ code: "terrain_too_low", cells: low, detail: `${low} cells lie below ${LOWEST_AMSL_M} m` });
  if (high > 0) {
    flags.push({ code: "terrain_too_high", cells: high, detail: `${high} cells lie above ${HIGHEST_AMSL_M} m` });
  }
  return flags;
}
