import type { ImportOptions } from "@fellmark/premises";

/** A CSV or GeoJSON file to make a tenant's list of premises of. */
export interface ImportPremisesTask extends Omit<ImportOptions, "onProgress" | "signal"> {
  file: string;
  /** Folder of the lists of all tenants. */
  premisesDir: string;
  tenant: string;
}
