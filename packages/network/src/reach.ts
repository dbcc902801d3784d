/** Distance beyond which nobody is heard, m. */
export const MAX_REACH_M = 80_000;

/** Zooms by which the lattice of far interferers is coarser than the area's. */
export const FAR_SHIFT = 2;
