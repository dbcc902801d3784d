import { z } from "zod";
import { makeNullable, resultFacts, share } from "../http/reply-parts.ts";

const polygons = z
  .object({
    type: z.enum(["Polygon", "MultiPolygon"]).describe("`Polygon` of one part, `MultiPolygon` of several"),
    coordinates: z.array(z.unknown()).describe("Rings of [longitude, latitude] in degrees"),
  })
  .describe("Geometry by RFC 7946");

const point = z
  .object({
    type: z.literal("Point").describe("Kind of geometry"),
    coordinates: z.tuple([z.number(), z.number()]).describe("[longitude, latitude] in degrees"),
  })
  .nullable()
  .describe("Place of the lead; null: not known");

function describeCollection(properties: z.ZodType, geometry: z.ZodType) {
  return z.looseObject({
    type: z.literal("FeatureCollection").describe("GeoJSON, RFC 7946"),
    bbox: z
      .array(z.number())
      .optional()
      .describe("West, south, east, north in degrees; west above east: over 180 degrees"),
    features: z
      .array(
        z.looseObject({
          type: z.literal("Feature").describe("GeoJSON, RFC 7946"),
          properties: properties.describe("Facts of the feature"),
          geometry,
        }),
      )
      .describe("The features"),
  });
}

const area = {
  areaKm2: z.number().describe("Area, km2"),
  share: share("of the whole area"),
};

const sharesOfPlans = z.array(z.object({ plan: z.string().describe("Id of the plan"), share: share("of the area") }));

/** Exclusive polygons by best plan. */
const tierCollection = describeCollection(
  z.looseObject({
    class: z
      .enum(["plan", "survey-first", "not-known"])
      .describe(
        "`plan`: the plan holds; `survey-first`: it would hold, but nothing is known to stand on the ground; " +
          "`not-known`: no elevation",
      ),
    plan: z.string().nullable().describe("Id of the plan; null: not known"),
    downMbps: makeNullable(z.number().describe("Downstream speed of the plan, Mbit/s"), "not known"),
    upMbps: makeNullable(z.number().describe("Upstream speed of the plan, Mbit/s"), "not known"),
    ...area,
  }),
  polygons,
);

/** areas.geojson of a layer. */
export const layerAreasSchema = tierCollection.meta({ id: "LayerAreas" });

/** tiers.geojson: exclusive polygons, one feature for each best plan that occurs, surveyed or not, and what is not known. */
export const tiersGeojsonSchema = tierCollection
  .extend({
    ...resultFacts,
    shares: z
      .object({
        plans: sharesOfPlans.describe("Where plans hold"),
        surveyFirst: sharesOfPlans.describe("Where plans would hold and a survey must come first"),
        noService: share("of the area without any plan"),
        water: share(
          "of the area that is open water without any plan, part of noService; 0 where no land cover is named",
        ),
        notKnown: share("of the area without elevation"),
      })
      .describe("Shares of the area by class; together 1"),
  })
  .meta({ id: "TiersGeojson" });

/** change.geojson: exclusive polygons, one feature for each change that occurs. */
export const changeGeojsonSchema = describeCollection(
  z.looseObject({ change: z.string().describe("Change of the best plan"), ...area }),
  polygons,
)
  .extend(resultFacts)
  .meta({ id: "ChangeGeojson" });

/** answers.geojson of a batch: one feature for each lead. */
export const answersGeojsonSchema = describeCollection(
  z.record(z.string(), z.union([z.string(), z.number(), z.null()])),
  point,
).meta({ id: "AnswersGeojson" });
