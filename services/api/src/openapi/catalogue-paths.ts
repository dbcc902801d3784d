import { antennaParametersSchema } from "@fellmark/network";
import type { z } from "zod";
import type { ZodOpenApiPathsObject } from "zod-openapi";
import { antennaReportSchema } from "../catalogue/antenna-replies.ts";
import {
  antennaKindsSchema,
  cableClassesSchema,
  clutterClassesSchema,
  powerRulesSchema,
} from "../catalogue/list-replies.ts";
import { describeJsonReply, describeRefusals } from "./path-parts.ts";

function listPath(operationId: string, summary: string, schema: z.ZodType): ZodOpenApiPathsObject[string] {
  return {
    get: {
      operationId,
      tags: ["catalogue"],
      summary,
      responses: { ...describeJsonReply("The list", schema), ...describeRefusals(429) },
    },
  };
}

export const cataloguePaths: ZodOpenApiPathsObject = {
  "/v1/rules": listPath("listPowerRules", "Power rules that a sector or CPE can name", powerRulesSchema),
  "/v1/antenna-kinds": listPath("listAntennaKinds", "Kinds of antenna with their fields", antennaKindsSchema),
  "/v1/cable-classes": listPath("listCableClasses", "Classes of feeder cable with their loss", cableClassesSchema),
  "/v1/clutter-classes": listPath("listClutterClasses", "Classes of clutter with their heights", clutterClassesSchema),
  "/v1/antennas/parameters": {
    post: {
      operationId: "computeAntennaParameters",
      tags: ["catalogue"],
      summary: "Antenna parameters, optionally beside another antenna, and both cuts as a picture",
      requestBody: { required: true, content: { "application/json": { schema: antennaParametersSchema } } },
      responses: {
        ...describeJsonReply("Parameters of each antenna on both ports", antennaReportSchema),
        ...describeRefusals(400, 413, 415, 422, 429, 503),
      },
    },
  },
};
