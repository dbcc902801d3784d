export { computeCellAreaM2 } from "./cell-area.ts";
export { type Crs, findCrs, formatCrsName } from "./crs.ts";
export type { CrsId } from "./crs-list.ts";
export { computeNormalRadiusM, WGS84_F } from "./ellipsoid.ts";
export { createGeodesicLine, findGeodesic, findGeodesicPoint, type Geodesic, type GeodesicLine } from "./geodesic.ts";
export {
  chooseZoom,
  computeCellSizeM,
  computeProjectedCellSizeM,
  countWorldCells,
  type LatticeWindow,
  type LonLat,
  MAX_LATITUDE_DEG,
  toLatitudeDeg,
  toLatticeColumn,
  toLatticeRow,
  toLongitudeDeg,
} from "./lattice.ts";
export { findMagneticDeclination, type MagneticDeclination } from "./magnetic-declination.ts";
export { formatProjection, type Projection } from "./projection-text.ts";
export { createRadialFan, findFanTrack, type RadialFan, type RadialTrack } from "./radial-track.ts";
export { createRowFrame, findWindowColumn, type RowFrame } from "./row-frame.ts";
export { fitWindow } from "./window.ts";
