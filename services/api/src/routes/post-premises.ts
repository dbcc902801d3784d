import path from "node:path";
import { parseWith } from "@fellmark/network";
import { parseColumnMap } from "@fellmark/premises";
import { FellmarkError, TransientError } from "@fellmark/units";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { importQuerySchema } from "../premises-queries.ts";
import { tenantOf } from "../tenant.ts";
import { withUpload } from "../upload.ts";

/** A million addresses take about a quarter of it. */
const MAX_FILE_BYTES = 250_000_000;

const DEADLINE_MS = 600_000;

const MEDIA_TYPES = ["text/csv", "text/tab-separated-values", "application/geo+json", "application/json"];

/** Makes the file in the body the tenant's list of premises, whole or not at all, and reports of every row left out. */
export function postPremises(context: Pick<ApiContext, "config" | "imports" | "premisesDir">): RequestHandler {
  let isRunning = false;
  return async (req, res) => {
    if (!req.is(MEDIA_TYPES))
      throw new FellmarkError("unsupported_media_type", `the body must be ${MEDIA_TYPES.join(", ")}`);
    const { map, keep, ...options } = parseWith(importQuerySchema, req.query);
    const task = { premisesDir: context.premisesDir, tenant: tenantOf(req), map: parseColumnMap(map), ...options };
    if (isRunning) throw new TransientError("busy", "another import is running");
    isRunning = true;
    try {
      const place = { dir: path.join(context.config.dataDir, "uploads"), maxBytes: MAX_FILE_BYTES };
      const report = await withUpload(req, place, (file) => {
        return context.imports.importPremises(
          { ...task, file, keepOthers: keep === "others" },
          { deadlineMs: DEADLINE_MS },
        );
      });
      res.set("Cache-Control", "no-store").json(report);
    } finally {
      isRunning = false;
    }
  };
}
