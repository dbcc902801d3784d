import { InputError } from "@fellmark/units";
import type { Kysely } from "kysely";
import { checkTenant } from "./job-key.ts";
import type { JobListQuery, JobPage, JobRecord } from "./job-record.ts";
import { toJobRecord } from "./job-row.ts";
import type { Schema } from "./schema.ts";
import { retryWhileBusy } from "./sqlite-file.ts";

/** Most jobs of one page. */
const MAX_JOBS_LISTED = 1_000;

/** Place in the list behind which a page begins. */
interface Cursor {
  createdAtMs: number;
  id: string;
}

/** See Ledger.listJobs. A page begins behind the last job of the page before, so jobs that come or go shift nothing. */
export async function listJobs(db: Kysely<Schema>, query: JobListQuery): Promise<JobPage> {
  checkTenant(query.tenant);
  const limit = Math.max(1, Math.min(query.limit, MAX_JOBS_LISTED));
  const rows = await retryWhileBusy(() => selectJobs(db, query, limit + 1).execute());
  const jobs = rows.slice(0, limit).map(toJobRecord);
  return { jobs, next: rows.length > limit ? toCursorText(jobs[limit - 1]) : null };
}

function selectJobs(db: Kysely<Schema>, query: JobListQuery, limit: number) {
  const { tenant, kind, states = [], createdFromMs, createdBeforeMs, after } = query;
  const last = after === undefined ? undefined : parseCursor(after);
  return db
    .selectFrom("jobs")
    .selectAll()
    .where("tenant", "=", tenant)
    .$if(kind !== undefined, (jobs) => jobs.where("kind", "=", kind as JobRecord["kind"]))
    .$if(states.length > 0, (jobs) => jobs.where("state", "in", states))
    .$if(createdFromMs !== undefined, (jobs) => jobs.where("createdAtMs", ">=", createdFromMs as number))
    .$if(createdBeforeMs !== undefined, (jobs) => jobs.where("createdAtMs", "<", createdBeforeMs as number))
    .$if(last !== undefined, (jobs) =>
      jobs.where(({ eb, refTuple, tuple }) => {
        const { createdAtMs, id } = last as Cursor;
        return eb(refTuple("createdAtMs", "id"), "<", tuple(createdAtMs, id));
      }),
    )
    .orderBy("createdAtMs", "desc")
    .orderBy("id", "desc")
    .limit(limit);
}

function toCursorText({ createdAtMs, id }: Cursor): string {
  return `${createdAtMs}-${id}`;
}

function parseCursor(text: string): Cursor {
  const [, createdAtMs, id] = /^(\d{1,15})-(j[0-9a-f]{64})$/.exec(text) ?? [];
  if (id === undefined) throw new InputError([{ pointer: "/after", detail: "is not the `next` of a page" }]);
  return { createdAtMs: Number(createdAtMs), id };
}
