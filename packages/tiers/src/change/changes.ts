/** Names of the changes of a cell, by class from 1, in pictures and GeoJSON. */
export const CHANGES = ["gained", "lost", "better plan", "worse plan"] as const;
