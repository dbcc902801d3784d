import { z } from "zod";

const findingSchema = z.object({
  code: z.string().meta({ example: "height-in-feet" }),
  pointer: z.string().meta({ example: "/sectors/0/heightAglM" }),
  row: z.string().meta({ description: "Id of the site, sector, antenna, CPE or subscriber" }),
  detail: z.string(),
  likelyCause: z.string(),
  suggestion: z.string(),
  severity: z.enum(["error", "warning", "hint"]),
});

const version = z.string().regex(/^n[0-9a-f]{64}$/);
const number = z.int().min(1);

/** What PUT /v1/network answers. */
export const networkStateSchema = z
  .object({ version, number, findings: z.array(findingSchema) })
  .meta({ id: "NetworkState" });

/** What GET /v1/network/versions answers, newest first. */
export const networkVersionsSchema = z
  .object({ versions: z.array(z.object({ version, number, createdAt: z.iso.datetime() })) })
  .meta({ id: "NetworkVersions" });

export type NetworkState = z.output<typeof networkStateSchema>;
export type NetworkVersions = z.output<typeof networkVersionsSchema>;
