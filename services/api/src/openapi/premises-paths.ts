import { z } from "zod";
import type { ZodOpenApiPathsObject } from "zod-openapi";
import { importQuerySchema, premisesQuerySchema } from "../premises/premises-queries.ts";
import { foundPremisesSchema, importReportSchema, onePremisesSchema } from "../premises/premises-replies.ts";
import { describeJsonReply, describeRefusals, textSchema } from "./path-parts.ts";

const tags = ["premises"];

/** The addresses that a provider knows, with their points. */
export const premisesPaths: ZodOpenApiPathsObject = {
  "/v1/premises": {
    get: {
      operationId: "searchPremises",
      tags,
      summary: "Premises by the words of their address, or the nearest to a point",
      description:
        "One typing error per word is tolerated, house numbers must be exact, common abbreviations are known. Equally good " +
        "hits are all given, and result is tie; result is not-known where nothing fits.",
      requestParams: { query: premisesQuerySchema },
      responses: {
        ...describeJsonReply("The hits, best or nearest first", foundPremisesSchema),
        ...describeRefusals(422, 429),
      },
    },
    post: {
      operationId: "importPremises",
      tags,
      summary: "Import premises",
      description:
        "CSV or GeoJSON in UTF-8, UTF-16 with a byte order mark or Windows-1252. The file becomes the list, whole or not " +
        "at all; rows at fault are left out, counted by reason and the first 1000 listed. An id, or else the address with its point to about 100 m, is what a row is " +
        "known by from one import to the next.",
      requestParams: { query: importQuerySchema },
      requestBody: {
        required: true,
        content: {
          "text/csv": { schema: textSchema, example: "id,address,lon,lat\n1,12 Alder Row,-72.5,44.1\n" },
          "application/geo+json": { schema: z.looseObject({}) },
        },
      },
      responses: {
        ...describeJsonReply("Counts of the rows, and the list after the import", importReportSchema),
        ...describeRefusals(413, 415, 422, 429, 503),
      },
    },
  },
  "/v1/premises/{id}": {
    get: {
      operationId: "getPremises",
      tags,
      summary: "One of the premises",
      requestParams: { path: z.object({ id: z.string().meta({ description: "Id of the premises", example: "p1" }) }) },
      responses: { ...describeJsonReply("Postal address and point", onePremisesSchema), ...describeRefusals(404, 429) },
    },
  },
};
