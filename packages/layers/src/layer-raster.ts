import type { LatticeWindow } from "@fellmark/geodesy";
import type { TierPlan } from "@fellmark/tiers";

/** A raster of tier classes on the lattice, row-major, north row first. */
export interface LayerLevel {
  window: LatticeWindow;
  classes: Uint8Array;
}

/** Classes of a layer at every zoom that it is drawn at. */
export interface LayerRaster {
  /** Class k is plans[k - 1]; class plans.length + k is the same plan where a survey must come first. */
  plans: TierPlan[];
  /** The finest level first; each further one is a zoom coarser. */
  levels: LayerLevel[];
}

/** Everything that the public is told of a layer besides its classes. */
export interface LayerFacts {
  title: string;
  attribution: string;
  /** Dates, YYYY-MM-DD; null: until further notice. */
  validFrom: string;
  validUntil: string | null;
  /** Probability with which predicted levels hold, 0 to 1. */
  confidence: number;
  /** Share of the time for which links must hold, 0 to 1. */
  availability: number;
  cpeHeightAglM: number;
}
