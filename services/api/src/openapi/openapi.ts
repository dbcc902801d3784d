import { createDocument, type ZodOpenApiPathsObject } from "zod-openapi";
import { cataloguePaths } from "./catalogue-paths.ts";
import { stateRanges } from "./field-ranges.ts";
import { advicePaths, batchPaths, comparisonPaths, coveragePaths } from "./job-paths.ts";
import { layerPaths } from "./layer-paths.ts";
import { networkPaths } from "./network-paths.ts";
import { placePaths } from "./place-paths.ts";
import { premisesPaths } from "./premises-paths.ts";
import { servicePaths } from "./service-paths.ts";

const PATHS: ZodOpenApiPathsObject = {
  ...networkPaths,
  ...coveragePaths,
  ...comparisonPaths,
  ...advicePaths,
  ...placePaths,
  ...premisesPaths,
  ...batchPaths,
  ...layerPaths,
  ...cataloguePaths,
  ...servicePaths,
};

const TAGS: Readonly<Record<string, string>> = {
  network: "The provider's network: sites, sectors, CPE, plans, subscribers",
  coverages: "Maps of what a network delivers, as jobs",
  comparisons: "A coverage before and after changes, as jobs",
  advice: "Channel plans, as jobs",
  places: "Answers for single places, and what was measured there",
  premises: "Postal addresses with their points",
  batches: "Answers for many leads, as jobs",
  layers: "Published maps of plans: drafts, versions, embed tokens, and what map clients read",
  catalogue: "What a request can name: power rules, antennas, cables, clutter",
  service: "The service itself",
};

/** The OpenAPI 3.1 document of the service, from the schemas that the routes parse with. */
export function createOpenapi(version: string): ReturnType<typeof createDocument> {
  const document = createDocument({
    openapi: "3.1.0",
    info: {
      title: "Fellmark",
      version,
      description:
        "Coverage of fixed-wireless networks over real terrain. Longitude first, azimuth from true north. Units stand in " +
        "the names of numbers; ranges and defaults end each description.",
      license: { name: "Apache-2.0", identifier: "Apache-2.0" },
    },
    tags: Object.entries(TAGS).map(([name, description]) => ({ name, description })),
    paths: PATHS,
  });
  return stateRanges(document);
}
