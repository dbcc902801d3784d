import type { RequestHandler } from "express";
import { createOpenapi } from "./openapi.ts";

/** The API's version, by the first part of its routes' path. */
const API_VERSION = "1";

let builtText: string | undefined;

/** The text of the OpenAPI document, built when it is first read and once a process: that takes 0.2 s. */
export function readOpenapiText(): string {
  builtText ??= JSON.stringify(createOpenapi(API_VERSION));
  return builtText;
}

export function getOpenapi(): RequestHandler {
  return (_req, res) => void res.set("Cache-Control", "no-cache").type("application/json").send(readOpenapiText());
}
