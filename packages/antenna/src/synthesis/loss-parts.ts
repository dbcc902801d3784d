/**
 * Losses of a built antenna beside its aperture's own pattern. A pattern can be computed without any of them, which
 * shows its cost; a loss that does not apply, or whose figure is zero, costs nothing.
 */
export const LOSS_PARTS = [
  "spillover",
  "blockage",
  "surface-errors",
  "excitation-errors",
  "feed-leakage",
  "mast-scatter",
  "feed-loss",
] as const;

export type LossPart = (typeof LOSS_PARTS)[number];
export type LossParts = ReadonlySet<LossPart>;

/** Losses that ideal lobes exclude. */
const IMPERFECTIONS: LossParts = new Set(["excitation-errors", "feed-leakage", "mast-scatter"]);

/** Returns the losses of a description: all, or with ideal lobes all but the imperfections of build and mast. */
export function listLossParts({ idealLobes = false }: { idealLobes?: boolean | undefined }): LossParts {
  return new Set(LOSS_PARTS.filter((part) => !idealLobes || !IMPERFECTIONS.has(part)));
}
