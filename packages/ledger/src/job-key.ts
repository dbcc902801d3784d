import { InputError } from "@fellmark/units";
import type { AttemptKey } from "./job-record.ts";

const TENANT = /^[a-z0-9][a-z0-9_-]{0,62}$/;
const JOB_ID = /^j[0-9a-f]{64}$/;

/** Lets pass only what is safe as a row key, a queue key and a folder name. Throws InputError otherwise. */
export function checkJobKey(tenant: string, id: string): void {
  checkTenant(tenant);
  if (!JOB_ID.test(id))
    throw new InputError([{ pointer: "/id", detail: "is not a job id", limit: "j and 64 hex digits" }]);
}

/** A random token, or the number of an attempt that began before there were tokens. */
const TOKEN = /^(?:[0-9a-f]{32}|[1-9]\d{0,15})$/;

/** Lets pass only what is safe as a folder name. Throws RangeError otherwise. */
export function checkAttemptKey({ tenant, id, token }: AttemptKey): void {
  checkJobKey(tenant, id);
  if (!TOKEN.test(token)) throw new RangeError(`"${token}" is not the token of an attempt`);
}

/** Lets pass only what is safe as a row key and a folder name. Throws InputError otherwise. */
export function checkTenant(tenant: string): void {
  if (!TENANT.test(tenant))
    throw new InputError([{ pointer: "/tenant", detail: "is not a tenant name", limit: "a-z 0-9 _ -" }]);
}
