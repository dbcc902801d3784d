export * from "./cell-area.ts";
export * from "./crs.ts";
export * from "./ellipsoid.ts";
export * from "./geodesic.ts";
export * from "./lattice.ts";
export * from "./radial-track.ts";
export * from "./row-frame.ts";
export * from "./window.ts";
