import { createInterface } from "node:readline";
import { Readable } from "node:stream";
import type { ReadableStream } from "node:stream/web";
import { setTimeout } from "node:timers/promises";
import { FellmarkError } from "@fellmark/units";

/** The state of a job as the service tells it, with absolute links. */
export interface JobState {
  id: string;
  state: string;
  progress: number;
  error: { code: string; detail: string } | null;
  links: Record<string, string>;
}

/** Longest time a service may take to read its terrain after it has started. */
const READY_WITHIN_MS = 60_000;

/** Submits a job at a path of the service. A service that is not ready answers 503 and is asked again after its Retry-After. */
export async function submitJob(serverUrl: string, path: string, request: unknown): Promise<JobState> {
  const body = JSON.stringify(request);
  const send = () =>
    fetch(`${serverUrl}${path}`, { method: "POST", headers: { "content-type": "application/json" }, body });
  const startedMs = performance.now();
  let reply = await send();
  while (reply.status === 503 && performance.now() - startedMs < READY_WITHIN_MS) {
    await setTimeout(1000 * Number(reply.headers.get("retry-after") ?? 1));
    reply = await send();
  }
  if (reply.status !== 202 && reply.status !== 200) throw new FellmarkError("refused", await reply.text());
  return toAbsolute(serverUrl, (await reply.json()) as JobState);
}

/** Follows the events of a job to its end. Throws FellmarkError with the job's own code when it does not succeed. */
export async function followJob(
  serverUrl: string,
  submitted: JobState,
  onProgress: (share: number, state: string) => void,
): Promise<JobState> {
  const reply = await fetch(submitted.links.events);
  if (reply.body === null) throw new FellmarkError("no_events", "the service sent no events");
  let state = submitted;
  for await (const line of createInterface({ input: Readable.fromWeb(reply.body as ReadableStream) })) {
    if (!line.startsWith("data:")) continue;
    state = toAbsolute(serverUrl, JSON.parse(line.slice("data:".length)) as JobState);
    onProgress(state.progress, state.state);
  }
  if (state.state === "done") return state;
  throw new FellmarkError(state.error?.code ?? state.state, state.error?.detail ?? `the job is ${state.state}`);
}

function toAbsolute(serverUrl: string, state: JobState): JobState {
  const links = Object.entries(state.links).map(([name, path]) => [name, new URL(path, serverUrl).href]);
  return { ...state, links: Object.fromEntries(links) };
}
