import { z } from "zod";
import type { ZodOpenApiPathsObject } from "zod-openapi";
import { importQuerySchema, premisesQuerySchema } from "../premises/premises-queries.ts";
import { refusals } from "./openapi-parts.ts";

const tags = ["premises"];
const reply = (description: string) => ({ "200": { description, content: { "application/json": {} } } });

/** The addresses that a provider knows, with their points. */
export const premises: ZodOpenApiPathsObject = {
  "/v1/premises": {
    get: {
      tags,
      summary: "Premises by the words of their address, or the nearest to a point",
      description:
        "One typo a word is forgiven, house numbers must be exact, common abbreviations are known. Equally good hits are " +
        "all given, and result is tie; result is not-known where nothing fits.",
      requestParams: { query: premisesQuerySchema },
      responses: { ...reply("The hits, best or nearest first"), ...refusals(422, 429) },
    },
    post: {
      tags,
      summary: "Import premises",
      description:
        "CSV or GeoJSON in UTF-8. The file becomes the list, whole or not at all; rows at fault are left out, counted by " +
        "reason and the first 1000 listed. An id, or else the address with its point to about 100 m, is what a row is " +
        "known by from one import to the next.",
      requestParams: { query: importQuerySchema },
      requestBody: {
        required: true,
        content: {
          "text/csv": { example: "id,address,lon,lat\n1,12 Alder Row,-72.5,44.1\n" },
          "application/geo+json": {},
        },
      },
      responses: {
        ...reply("What became of the rows, and the list as it is now"),
        ...refusals(413, 415, 422, 429, 503),
      },
    },
  },
  "/v1/premises/{id}": {
    get: {
      tags,
      summary: "One of the premises",
      requestParams: { path: z.object({ id: z.string().meta({ example: "p1" }) }) },
      responses: { ...reply("Address and point"), ...refusals(404, 429) },
    },
  },
};
