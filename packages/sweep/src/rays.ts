import { DEG_PER_RAD } from "@fellmark/units";

/** 10 / ln 10. */
const DB_PER_NEPER = 10 / Math.LN10;

/** Loss of the slant path over its ground distance, dB: 10 log10(1 + rise^2). Source: ITU-R P.1812-6 eq (8). */
export function computeSlantDb(rise: number): number {
  const s = rise * rise;
  if (s > 0.01) return 10 * Math.log10(1 + s);
  return DB_PER_NEPER * s * (1 - s * (1 / 2 - s * (1 / 3 - s * (1 / 4 - s * (1 / 5 - s / 6)))));
}

/** Angle of a slope in hundredths of a degree; by its series (1e-6 degrees) where it is gentle. */
export function toCentidegrees(slope: number): number {
  const s = slope * slope;
  const angle = s < 0.04 ? slope * (1 - s * (1 / 3 - s * (1 / 5 - s / 7))) : Math.atan(slope);
  return Math.floor(angle * (100 * DEG_PER_RAD) + 0.5);
}
