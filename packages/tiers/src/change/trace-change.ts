import type { LatticeWindow } from "@fellmark/geodesy";
import type { PolygonCollection } from "../geojson.ts";
import { TRACE_DEFAULTS, traceTiers } from "../trace/trace-tiers.ts";
import { CHANGES } from "./changes.ts";

export interface ChangeProperties {
  change: (typeof CHANGES)[number];
  areaKm2: number;
  /** Share of the cells of the whole area. */
  share: number;
}

/**
 * The classes of a change as GeoJSON (RFC 7946): exclusive polygons, one feature for each class that occurs. Small
 * regions stay, for a lost house is a lost house. Throws as traceTiers.
 */
export function traceChange(window: LatticeWindow, classes: Uint8Array): PolygonCollection<ChangeProperties> {
  const plans = CHANGES.map((id) => ({ id, downMbps: 0, upMbps: 0 }));
  const { collection } = traceTiers(window, classes, { ...TRACE_DEFAULTS, plans, speckAreaM2: 0 });
  const changed = collection.features.filter((feature) => feature.properties.class === "plan");
  const features = changed.map(({ properties: { plan, areaKm2, share }, ...feature }) => ({
    ...feature,
    properties: { change: plan as ChangeProperties["change"], areaKm2, share },
  }));
  return { ...collection, features };
}
