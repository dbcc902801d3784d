export { cellAreaM2 } from "./cell-area.ts";
export { type Crs, crsName, crsOf } from "./crs.ts";
export type { CrsId } from "./crs-list.ts";
export { normalRadiusM, WGS84_F } from "./ellipsoid.ts";
export { type Geodesic, type GeodesicLine, geodesicBetween, geodesicLine, geodesicPoint } from "./geodesic.ts";
export {
  cellSizeM,
  cellSizeProjectedM,
  columnOfLongitude,
  type LatticeWindow,
  type LonLat,
  latitudeOfRow,
  longitudeOfColumn,
  MAX_LATITUDE_DEG,
  rowOfLatitude,
  worldCells,
  zoomForCellM,
} from "./lattice.ts";
export { type Projection, projectionText } from "./projection-text.ts";
export { type RadialFan, type RadialTrack, radialFan, trackOfFan } from "./radial-track.ts";
export { type RowFrame, rowFrame, windowColumn } from "./row-frame.ts";
export { windowAround } from "./window.ts";
