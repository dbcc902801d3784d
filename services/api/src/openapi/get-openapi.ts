import type { RequestHandler } from "express";
import { createOpenapi } from "./openapi.ts";

/** The API's version, by the address prefix of its routes. */
const API_VERSION = "1";

export function getOpenapi(): RequestHandler {
  const text = JSON.stringify(createOpenapi(API_VERSION));
  return (_req, res) => void res.set("Cache-Control", "no-cache").type("application/json").send(text);
}
