/**
 * What a built antenna loses beside the shape of its aperture's own pattern. Each can be left out of a pattern, to see
 * what it costs; an antenna that a part does not concern, or whose figure for it is zero, has it for nothing.
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

/** What ideal lobes leave out. */
const IMPERFECTIONS: LossParts = new Set(["excitation-errors", "feed-leakage", "mast-scatter"]);

/** What a description asks for: all, or with ideal lobes all but the imperfections of build and mast. */
export function partsOf({ idealLobes = false }: { idealLobes?: boolean | undefined }): LossParts {
  return new Set(LOSS_PARTS.filter((part) => !idealLobes || !IMPERFECTIONS.has(part)));
}
