import { POINT_QUALITY_M } from "@fellmark/premises";
import { z } from "zod";

const limit = z.coerce.number().int().min(1).max(50).default(10).describe("Most premises to return");

const pointSchema = z
  .string()
  .transform((text) => text.split(",").map((part) => (part.trim() === "" ? Number.NaN : Number(part))))
  .pipe(z.tuple([z.number().min(-180).max(180), z.number().min(-85).max(85)]));

/** Query parameters of GET /v1/premises: words of an address, or a point. */
export const premisesQuerySchema = z
  .strictObject({
    q: z.string().min(1).max(200).optional().meta({ description: "Words of a postal address, in any order" }),
    near: pointSchema
      .optional()
      .meta({ description: "Point as LON,LAT in degrees: the nearest premises are returned", example: "-72.5,44.1" }),
    limit,
    typing: z
      .enum(["true", "false"])
      .default("true")
      .meta({ description: "`true`: the last word of q may be incomplete, as while typing; `false`: it is complete" }),
  })
  .refine(({ q, near }) => (q === undefined) !== (near === undefined), "give either q or near");

/** Query parameters of POST /v1/premises; the body is the file. */
export const importQuerySchema = z.strictObject({
  map: z.string().max(2000).default("").meta({
    description: "Columns that are not found by their usual names: role=column, separated by commas",
    example: "id=ref no,address=where",
  }),
  crs: z.coerce
    .number()
    .int()
    .positive()
    .optional()
    .meta({ description: "EPSG code of the points; if absent, degrees on WGS84" }),
  quality: z
    .enum(Object.keys(POINT_QUALITY_M))
    .optional()
    .meta({ description: `Location accuracy of rows that do not state it: ${wordQualities()}` }),
  delimiter: z.string().length(1).optional().meta({ description: "Delimiter of a CSV file; if absent, it is found" }),
  keep: z.enum(["nothing", "others"]).default("nothing").meta({
    description: "Premises that the file does not have: `nothing` removes them, `others` keeps them",
  }),
});

function wordQualities(): string {
  return Object.entries(POINT_QUALITY_M)
    .map(([quality, radiusM]) => `\`${quality}\` within ${radiusM} m`)
    .join(", ");
}
