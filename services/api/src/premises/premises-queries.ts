import { POINT_QUALITY_M } from "@fellmark/premises";
import { z } from "zod";

const limit = z.coerce.number().int().min(1).max(50).default(10);

const pointSchema = z
  .string()
  .transform((text) => text.split(",").map((part) => (part.trim() === "" ? Number.NaN : Number(part))))
  .pipe(z.tuple([z.number().min(-180).max(180), z.number().min(-85).max(85)]));

/** What GET /v1/premises takes: words of an address, or a point. */
export const premisesQuerySchema = z
  .strictObject({
    q: z.string().min(1).max(200).optional().meta({ description: "Words of an address, in any order" }),
    near: pointSchema.optional().meta({ description: "LON,LAT in degrees", example: "-72.5,44.1" }),
    limit,
    typing: z
      .enum(["true", "false"])
      .default("true")
      .meta({ description: "Whether the last word of q may go on: as you type" }),
  })
  .refine(({ q, near }) => (q === undefined) !== (near === undefined), "give either q or near");

/** What POST /v1/premises takes in its address; the body is the file. */
export const importQuerySchema = z.strictObject({
  map: z.string().max(2000).default("").meta({
    description: "Columns that are not found by their usual names: role=column, separated by commas",
    example: "id=ref no,address=where",
  }),
  crs: z.coerce.number().int().positive().optional().meta({ description: "EPSG code; default WGS84 degrees" }),
  quality: z.enum(Object.keys(POINT_QUALITY_M)).optional().meta({ description: "Of points whose row does not say" }),
  delimiter: z.string().length(1).optional(),
  keep: z.enum(["nothing", "others"]).default("nothing").meta({
    description: "What becomes of premises that the file does not have: others keeps them",
  }),
});
