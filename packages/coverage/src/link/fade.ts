/** Terrain factor C of the multipath fade margin: average terrain and climate. Source: see multipathFadeMarginDb. */
export const AVERAGE_TERRAIN = 1;
