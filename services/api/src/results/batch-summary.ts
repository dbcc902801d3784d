import { z } from "zod";
import { caution, count, refusedFiles, resultFacts, terrainFingerprint } from "../http/reply-parts.ts";

/** The file summary.json of a batch. */
export const batchSummarySchema = z
  .object({
    ...resultFacts,
    terrain: z
      .object({ fingerprint: terrainFingerprint, refused: refusedFiles })
      .describe("Terrain that the answers rest on"),
    premises: z.string().nullable().describe("Version of the list of premises; null: there was none"),
    leads: count("leads"),
    byVerdict: z.record(z.string(), z.int()).describe("Number of leads by verdict"),
    byLikelihood: z
      .record(z.string(), z.int())
      .describe(
        "Number of leads to survey first: `likely` where the chance of service is 50 % or more, else `unlikely`",
      ),
    byPlan: z.record(z.string(), z.int()).describe("Number of leads by the best plan; leads without one are left out"),
    byProblem: z.record(z.string(), z.int()).describe("Number of leads whose place is not known, by kind of problem"),
    problems: z
      .array(
        z.object({
          row: count("the row in the file; the header of a CSV file is row 1"),
          problem: z.string().describe("Stable name of the problem"),
          detail: z.string().describe("The problem in words"),
        }),
      )
      .describe("The first 1,000 leads whose place is not known"),
    caution,
  })
  .meta({ id: "BatchSummary" });
