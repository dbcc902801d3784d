import { calibrationBodySchema, installBodySchema, serviceabilityBodySchema } from "@fellmark/network";
import { z } from "zod";
import type { ZodOpenApiPathsObject } from "zod-openapi";
import { calibrationReplySchema, installReplySchema, serviceabilityReplySchema } from "../places/place-replies.ts";
import { binarySchema, describeJsonReply, describeRefusals, textSchema } from "./path-parts.ts";

const tags = ["places"];
const place = { at: [-76.7488, 40.8] as [number, number] };
const serviceabilityBody = {
  "application/json": {
    schema: serviceabilityBodySchema.meta({ id: "Serviceability" }),
    example: { version: 1, place, radiusM: 15_000 },
  },
};
const refused = describeRefusals(400, 404, 413, 415, 422, 429, 503);

function describeReply(description: string, schema: z.ZodType) {
  return { ...describeJsonReply(description, schema), ...refused };
}

/** Endpoints about single places of a network that was put. */
export const placePaths: ZodOpenApiPathsObject = {
  "/v1/serviceability": {
    post: {
      operationId: "answerPlace",
      tags,
      summary: "Whether a place can be served, with which plan, and what it would take",
      description:
        "Place by point, by the id of premises or by the text of an address. An address that no premises or several " +
        "have is not guessed: the reply is not-known with `matches`. 503 while a network is being opened.",
      requestBody: { required: true, content: serviceabilityBody },
      responses: describeReply(
        "Verdict and reason; best sector and two alternates in full; every plan; location accuracy, load, leaves, expiry; `inputs` " +
          "names the versions that it rests on",
        serviceabilityReplySchema.meta({ id: "ServiceabilityReply" }),
      ),
    },
  },
  "/v1/serviceability/profile": {
    post: {
      operationId: "drawProfile",
      tags,
      summary: "The profile to the best sector as a picture",
      requestParams: {
        query: z.object({ format: z.enum(["svg", "png"]).optional().meta({ description: "Default: by Accept" }) }),
      },
      requestBody: { required: true, content: serviceabilityBody },
      responses: {
        "200": {
          description: "The picture",
          content: { "image/svg+xml": { schema: textSchema }, "image/png": { schema: binarySchema } },
        },
        ...refused,
      },
    },
  },
  "/v1/installs": {
    post: {
      operationId: "checkInstall",
      tags,
      summary: "Compare the level measured at a mounted CPE with the expected one",
      requestBody: {
        required: true,
        content: {
          "application/json": {
            schema: installBodySchema.meta({ id: "Install" }),
            example: { version: 1, place, sector: "s1-n", measured: { signalDbm: -63 } },
          },
        },
      },
      responses: describeReply(
        "Pass or fail by the residual, with likely causes, the likeliest first",
        installReplySchema.meta({ id: "InstallReply" }),
      ),
    },
  },
  "/v1/calibrations": {
    post: {
      operationId: "fitCalibration",
      tags,
      summary: "What measured links teach of the model",
      description:
        "From the subscribers of the network with a measured level, or from the links sent. Put the calibration " +
        "into `model.calibration` of the network to use it; null there switches it off.",
      requestBody: {
        required: true,
        content: {
          "application/json": { schema: calibrationBodySchema.meta({ id: "Calibration" }), example: { version: 1 } },
        },
      },
      responses: describeReply(
        "The calibration, its error on links that it was not fitted to, and the rows that are not used",
        calibrationReplySchema.meta({ id: "CalibrationReply" }),
      ),
    },
  },
};
