import path from "node:path";
import { parseBody, parseNetwork } from "@fellmark/network";
import { type Area, parseColumnMap } from "@fellmark/premises";
import { FellmarkError, TransientError } from "@fellmark/units";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";
import { nameCaller } from "../http/caller.ts";
import { createSlots } from "../http/slots.ts";
import { findTenant } from "../http/tenant.ts";
import { useUpload } from "../http/upload.ts";
import { importQuerySchema } from "./premises-queries.ts";

/** A million addresses take about a quarter of it. */
const MAX_FILE_BYTES = 250_000_000;

const DEADLINE_MS = 600_000;

/** Files that arrive or wait for their import at a time: each takes its room on the disk. */
const MAX_UPLOADS = 8;
const MAX_UPLOADS_PER_CALLER = 2;

const MEDIA_TYPES = ["text/csv", "text/tab-separated-values", "application/geo+json", "application/json"];

/** Makes the file in the body the tenant's list of premises, whole or not at all, and reports of every row left out. */
export function postPremises(
  context: Pick<ApiContext, "config" | "imports" | "ledger" | "premisesDir">,
): RequestHandler {
  const uploads = createSlots({ total: MAX_UPLOADS, perCaller: MAX_UPLOADS_PER_CALLER });
  let lastImport: Promise<unknown> = Promise.resolve();
  return async (req, res) => {
    if (!req.is(MEDIA_TYPES))
      throw new FellmarkError("unsupported_media_type", `the body must be ${MEDIA_TYPES.join(", ")}`);
    const { map, keep, ...options } = parseBody(importQuerySchema, req.query);
    const tenant = findTenant(req);
    const area = await findNetworkArea(context, tenant);
    const task = { premisesDir: context.premisesDir, tenant, map: parseColumnMap(map), area, ...options };
    const giveBack = uploads.take(nameCaller(req));
    if (!giveBack) throw new TransientError("busy", "too many imports are under way");
    try {
      const place = { dir: path.join(context.config.dataDir, "uploads"), maxBytes: MAX_FILE_BYTES };
      const report = await useUpload(req, place, (file) => {
        const run = () =>
          context.imports.importPremises({ ...task, file, keepOthers: keep === "others" }, { deadlineMs: DEADLINE_MS });
        // Uploads go side by side, imports one after another.
        const own = lastImport.then(run, run);
        lastImport = own.catch(() => undefined);
        return own;
      });
      res.set("Cache-Control", "no-store").json(report);
    } finally {
      giveBack();
    }
  };
}

/** Premises are expected no further than this from a site, degrees. */
const MARGIN_DEG = 1;

/** Area in which premises are expected: around the sites of the current network. */
async function findNetworkArea({ ledger }: Pick<ApiContext, "ledger">, tenant: string): Promise<Area | undefined> {
  const network = await ledger.findCurrentNetwork(tenant);
  if (!network) return undefined;
  const { sites } = parseNetwork(JSON.parse(network.document));
  const [lons, lats] = [sites.map(({ lon }) => lon), sites.map(({ lat }) => lat)];
  const [west, east] = [Math.min(...lons) - MARGIN_DEG, Math.max(...lons) + MARGIN_DEG];
  // Sites on both sides of the antimeridian: no box is better than the wrong one.
  if (east - west > 180) return undefined;
  return [west, Math.min(...lats) - MARGIN_DEG, east, Math.max(...lats) + MARGIN_DEG];
}
