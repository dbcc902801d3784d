import type { CheckedSubmission, SubmissionForm } from "@fellmark/compute";
import type { RequestHandler } from "express";
import type { Asker } from "../children/turns.ts";
import type { ApiContext } from "../context.ts";
import { toAsker } from "../http/asker.ts";
import type { Operation } from "../http/route-table.ts";
import { findTenant } from "../http/tenant.ts";
import { findNamedNetwork } from "../network/find-named-network.ts";
import { submitJob } from "./submit-job.ts";

/** Queues what a body of this form asks for: 202, or 200 with the job that is there already. */
export function postSubmission(form: SubmissionForm): Operation {
  return (context): RequestHandler =>
    async (req, res) => {
      const [tenant, asker] = [findTenant(req), toAsker({ req, res })];
      const checked = await checkBody(context, { tenant, asker, form, body: req.body });
      await submitJob(context, res, { tenant, asker, form, checked });
    };
}

interface SentBody {
  tenant: string;
  asker: Asker;
  form: SubmissionForm;
  /** Bytes; anything else is an empty body. */
  body: unknown;
}

async function checkBody(context: ApiContext, { tenant, asker, form, body }: SentBody): Promise<CheckedSubmission> {
  const premises = form === "batch" ? ((await context.premises.list(tenant))?.version ?? null) : null;
  const sent = { form, body: body instanceof Uint8Array ? body : new Uint8Array(), premises };
  const read = await context.bodies.run(asker, "readSubmission", sent);
  if (!("network" in read)) return read;
  const network = await findNamedNetwork(context.ledger, tenant, read);
  const checked = await context.bodies.run(asker, "readSubmission", { ...sent, network });
  if ("network" in checked) throw new TypeError("a network is asked for once");
  return checked;
}
