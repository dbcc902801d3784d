import { listAntennaKinds, listCableClasses, listClutterClasses, listPowerRules } from "@fellmark/network";
import type { RequestHandler } from "express";
import type { z } from "zod";
import type { antennaKindsSchema, cableClassesSchema, clutterClassesSchema, powerRulesSchema } from "./list-replies.ts";

/** Power rules that a sector or CPE can name. */
export function getRules(): RequestHandler {
  return sendList<typeof powerRulesSchema>({ rules: [...listPowerRules()] });
}

/** Kinds of antenna with their fields. */
export function getAntennaKinds(): RequestHandler {
  return sendList<typeof antennaKindsSchema>({ kinds: listAntennaKinds() });
}

/** Classes of feeder cable with their loss. */
export function getCableClasses(): RequestHandler {
  return sendList<typeof cableClassesSchema>({ cables: listCableClasses() });
}

/** Classes of clutter with their heights. */
export function getClutterClasses(): RequestHandler {
  return sendList<typeof clutterClassesSchema>({ classes: listClutterClasses() });
}

/** Replies with a list that changes only with the release. */
function sendList<Schema extends z.ZodType>(list: z.input<Schema>): RequestHandler {
  const text = JSON.stringify(list);
  return (_req, res) => void res.set("Cache-Control", "public, max-age=300").type("application/json").send(text);
}
