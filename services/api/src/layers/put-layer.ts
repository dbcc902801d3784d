import { LAYER_FILES, TIER_CLASSES_FILE } from "@fellmark/layers";
import type { JobRecord, LayerSource } from "@fellmark/ledger";
import { parseBody, parseJsonBody } from "@fellmark/network";
import { FellmarkError, InputError, TransientError } from "@fellmark/units";
import type { RequestHandler } from "express";
import type { z } from "zod";
import type { ApiContext } from "../context.ts";
import { nameCaller } from "../http/caller.ts";
import { createSlots } from "../http/slots.ts";
import { createJobNotFound } from "../jobs/find-job.ts";
import { readLayerKey } from "./find-layer.ts";
import { layerBodySchema } from "./layer-schemas.ts";
import { toVersionState } from "./layer-state.ts";

/** 40 million cells, the most that a coverage may have, take a fifth of it. */
const DEADLINE_MS = 120_000;

/** Layers that are prepared or wait for it at a time. */
const PREPARATIONS = { total: 4, perCaller: 2 };

type LayerBody = z.output<typeof layerBodySchema>;

/** Makes a draft of the layer: its files are prepared and kept, and nothing of it is public. */
export function putLayer(context: ApiContext): RequestHandler {
  const preparations = createSlots(PREPARATIONS);
  return async (req, res) => {
    const key = readLayerKey(req);
    const body = parseBody(layerBodySchema, parseJsonBody(req.body));
    const job = await findSourceJob(context, key.tenant, body.source);
    const giveBack = preparations.take(nameCaller(req));
    if (!giveBack) throw new TransientError("busy", "too many layers are being prepared");
    try {
      const prepared = await prepareFiles(context, job, body);
      const draft = { ...key, source: body.source, ...prepared };
      const { version, created } = await context.ledger.layers.putDraft(draft);
      res
        .set("Cache-Control", "no-store")
        .status(created ? 201 : 200)
        .json(toVersionState(version));
    } finally {
      giveBack();
    }
  };
}

/** Throws NotFoundError for an unknown coverage, `conflict` for one that has no classes to publish. */
async function findSourceJob({ ledger }: ApiContext, tenant: string, { kind, id }: LayerSource): Promise<JobRecord> {
  const job = await ledger.find(tenant, id);
  if (job?.kind !== kind) throw createJobNotFound(kind);
  if (job.state !== "done") {
    throw new FellmarkError("conflict", `only a ${kind} that is done can be published: this one is ${job.state}`);
  }
  if (!job.files?.some(({ name }) => name === TIER_CLASSES_FILE)) {
    const detail = `the ${kind} has no ${TIER_CLASSES_FILE}: compute it again with "tiers" among its outputs`;
    throw new FellmarkError("conflict", detail);
  }
  return job;
}

/** Has a compute child write the files, and keeps them: all of them, or none. */
async function prepareFiles(context: ApiContext, job: JobRecord, body: LayerBody) {
  const { store, objects, publishing } = context;
  await store.requireRoom();
  const validFrom = body.validFrom ?? new Date(job.updatedAtMs).toISOString().slice(0, "YYYY-MM-DD".length);
  const { title, attribution, validUntil } = body;
  if (validUntil !== null && validUntil < validFrom)
    throw new InputError([{ pointer: "/validUntil", detail: "must not be before validFrom", limit: validFrom }]);
  const outDir = await objects.stage();
  try {
    const { description } = await publishing.prepareLayer(
      {
        classesFile: store.findPath(job, TIER_CLASSES_FILE),
        summaryFile: store.findPath(job, "summary.json"),
        outDir,
        facts: { title, attribution, validFrom, validUntil },
      },
      { deadlineMs: DEADLINE_MS },
    );
    const files = await objects.keep(job.tenant, outDir);
    const lacking = Object.values(LAYER_FILES).filter((name) => !files.some((file) => file.name === name));
    if (lacking.length > 0) throw new FellmarkError("bad_result", `the layer lacks ${lacking.join(", ")}`);
    return { description: JSON.stringify(description), files };
  } finally {
    await objects.discard(outDir);
  }
}
