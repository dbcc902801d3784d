export * from "./ellipsoid.ts";
export * from "./geodesic.ts";
export * from "./lattice.ts";
