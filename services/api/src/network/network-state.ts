import { z } from "zod";

export const findingSchema = z.object({
  code: z.string().meta({ description: "Stable name of the finding", example: "height_in_feet" }),
  pointer: z.string().meta({ description: "JSON pointer into the document", example: "/sectors/0/heightAglM" }),
  row: z.string().meta({ description: "Id of the site, sector, antenna, CPE or subscriber" }),
  detail: z.string().describe("What looks wrong"),
  likelyCause: z.string().describe("The likely cause"),
  suggestion: z.string().describe("What to do about it"),
  severity: z
    .enum(["error", "warning", "hint"])
    .describe("`error`: results will be wrong; `warning`: results are probably wrong; `hint`: check it once"),
});

const version = z
  .string()
  .regex(/^n[0-9a-f]{64}$/)
  .describe("Version of the network: `n` and the SHA-256 of its canonical text");
const number = z.int().min(1).describe("Number of the version, counted from 1");

/** The reply of PUT /v1/network. */
export const networkStateSchema = z
  .object({
    version,
    number,
    findings: z.array(findingSchema).describe("What looks like a slip; nothing is repaired"),
  })
  .meta({ id: "NetworkState" });

/** The reply of GET /v1/network/versions, newest first. */
export const networkVersionsSchema = z
  .object({
    versions: z
      .array(
        z.object({
          version,
          number,
          createdAt: z.iso.datetime().describe("Time at which it was put, ISO 8601 in UTC"),
        }),
      )
      .describe("Versions, newest first"),
  })
  .meta({ id: "NetworkVersions" });

export type NetworkState = z.output<typeof networkStateSchema>;
export type NetworkVersions = z.output<typeof networkVersionsSchema>;
