/** What a change does to a cell, by class from 1: the words of pictures and of GeoJSON. */
export const CHANGES = ["gained", "lost", "better plan", "worse plan"] as const;
