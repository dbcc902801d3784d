import { z } from "zod";
import { count, formatVersion, makeNullable } from "../http/reply-parts.ts";

const listState = {
  version: z.string().describe("Version of the list: equal lists have the same"),
  count: count("premises in the list"),
};

const premises = {
  id: z.string().describe("Id of the premises; stays the same over imports"),
  address: z.string().describe("Postal address"),
  lon: z.number().describe("Longitude in degrees, east positive, WGS84"),
  lat: z.number().describe("Latitude in degrees, north positive, WGS84"),
  qualityM: makeNullable(z.number().describe("How far off the point may be, m"), "the source does not state it"),
};

/** The reply of GET /v1/premises/{id}. */
export const onePremisesSchema = z.object({ version: formatVersion, ...premises }).meta({ id: "Premises" });

/** The reply of GET /v1/premises. */
export const foundPremisesSchema = z
  .object({
    version: formatVersion,
    list: z.object(listState).nullable().describe("The list that was asked; null: nothing was imported yet"),
    result: z
      .enum(["found", "tie", "not-known"])
      .describe("`found`: the first is meant; `tie`: the best are equally good; `not-known`: nothing fits"),
    hits: z
      .array(
        z.object({
          ...premises,
          typos: z.int().optional().describe("Words of the query that fit only with a typing error"),
          distanceM: z.number().optional().describe("Distance from the point asked for, m"),
        }),
      )
      .describe("Premises, the best or nearest first"),
  })
  .meta({ id: "FoundPremises" });

const rowFault = z.object({
  row: z.int().describe("Row in the file; the header of a CSV file is row 1"),
  column: z.string().describe("Column at fault"),
  reason: z.string().describe("Stable name of the kind of fault"),
  detail: z.string().describe("The fault in words"),
  suggestion: z.string().describe("What to do about it"),
});

/** The reply of POST /v1/premises. */
export const importReportSchema = z
  .object({
    version: formatVersion,
    file: z
      .object({
        kind: z.enum(["csv", "geojson"]).describe("Kind of the file: `csv` or `geojson`"),
        encoding: z.string().describe("Encoding of the text"),
        delimiter: z.string().optional().describe("Delimiter of a CSV file"),
        columns: z.array(z.string()).describe("Names of the columns"),
      })
      .describe("The file as it was read"),
    map: z.record(z.string(), z.string()).describe("Column by its role, named in the request or found by its name"),
    rows: count("rows"),
    imported: count("rows imported"),
    rejected: count("rows rejected"),
    byReason: z.record(z.string(), z.int()).describe("Number of rejected rows by kind of fault"),
    rejectedRows: z.array(rowFault).describe("The first 1,000 rejected rows"),
    findings: z
      .array(
        z.object({
          code: z.string().describe("Stable name of the finding"),
          rows: count("rows"),
          detail: z.string().describe("The finding in words"),
        }),
      )
      .describe("Things that were taken as they are but should be checked"),
    premises: z
      .object({
        ...listState,
        added: count("premises added"),
        changed: count("premises with another address, point or quality"),
        same: count("premises that did not change"),
        removed: count("premises removed"),
      })
      .describe("The list after the import, and what the file changed"),
  })
  .meta({ id: "ImportReport" });
