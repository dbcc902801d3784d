import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";

export interface RunningService {
  pid: number;
  /** First line that the process wrote, parsed. */
  greeting: { address?: string };
  stop(): Promise<void>;
}

/** Starts a service's built main and waits for its first line. */
export async function startService(name: "api" | "worker", env: Record<string, string>): Promise<RunningService> {
  const main = fileURLToPath(new URL(`../../../services/${name}/dist/main.js`, import.meta.url));
  const child = spawn(process.execPath, [main], {
    stdio: ["ignore", "pipe", "inherit"],
    env: { ...process.env, FELLMARK_PORT: "0", ...env },
  });
  const greeting = JSON.parse(await firstLine(child)) as RunningService["greeting"];
  return {
    pid: child.pid as number,
    greeting,
    async stop() {
      child.kill("SIGTERM");
      if (child.exitCode === null) await once(child, "exit");
    },
  };
}

async function firstLine(child: ChildProcess): Promise<string> {
  const lines = createInterface({ input: child.stdout as NodeJS.ReadableStream });
  const [line] = (await once(lines, "line")) as [string];
  return line;
}

/** Posts a coverage and follows its events; wall seconds until its result is published. Throws unless it is done. */
export async function secondsToResult(address: string, request: unknown): Promise<number> {
  return (await postJob(address, "/v1/coverages", request)).seconds;
}

/** Posts a job and follows its events to the end; wall seconds until then, and its summary. Throws unless it is done. */
export async function postJob(
  address: string,
  jobs: string,
  request: unknown,
): Promise<{ seconds: number; summary: unknown }> {
  const start = performance.now();
  const reply = await fetch(address + jobs, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(request),
  });
  if (!reply.ok) throw new Error(`POST ${jobs}: ${reply.status} ${await reply.text()}`);
  const { links } = (await reply.json()) as { links: { self: string; events: string } };
  const events = await (await fetch(new URL(links.events, address))).text();
  const seconds = (performance.now() - start) / 1000;
  const states = [...events.matchAll(/^data: ?(.*)$/gm)].map(([, data]) => JSON.parse(data) as { state: string });
  const last = states[states.length - 1];
  if (last?.state !== "done") throw new Error(`the job ended as ${JSON.stringify(last)}`);
  const summary = await fetch(new URL(`${links.self}/summary`, address));
  return { seconds, summary: await summary.json() };
}

/** Greatest resident memory so far of a process and its children together, bytes. Source: proc(5), VmHWM. */
export function peakMemoryBytes(pid: number): number {
  const kilobytes = /^VmHWM:\s+(\d+) kB$/m.exec(readFileSync(`/proc/${pid}/status`, "latin1"))?.[1];
  const children = readFileSync(`/proc/${pid}/task/${pid}/children`, "latin1").trim().split(/\s+/).filter(Boolean);
  return children.reduce((sum, child) => sum + peakMemoryBytes(Number(child)), Number(kilobytes) * 1024);
}
