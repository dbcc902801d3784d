import { FellmarkError } from "@fellmark/units";
import { formatColumns } from "../output/columns.ts";

const LAYER = "/v1/layers/plans";

/** Page of the demo's reader that may embed the layer. */
const PAGE_ORIGIN = "http://localhost:8000";
const TOKEN_DAYS = 30;

/** Publishes a coverage as the layer "plans". Returns the URLs that web pages and map programs load, as lines. */
export async function publishIsland(serverUrl: string, coverageId: string): Promise<string> {
  const draft = await call<{ version: number }>(serverUrl, "PUT", LAYER, {
    version: 1,
    source: { kind: "coverage", id: coverageId },
    title: "Plans on the island",
    attribution: "Tollivast Air Link",
  });
  await call(serverUrl, "POST", `${LAYER}/publish`, { version: draft.version });
  const expiresAt = new Date(Date.now() + TOKEN_DAYS * 86_400_000).toISOString();
  const token = { origins: [PAGE_ORIGIN], expiresAt };
  const embed = await call<{ style: string }>(serverUrl, "POST", `${LAYER}/tokens`, token);
  const latest = `${serverUrl}${LAYER}/latest`;
  return formatColumns([
    ["TileJSON", `${latest}/tilejson.json`],
    ["style", `${latest}/style.json`],
    ["legend", `${latest}/legend.svg`],
    ["picture tiles", `${latest}/tiles/{z}/{x}/{y}.png`],
    ["archive", `${latest}/archive.pmtiles`],
    ["embed", `${embed.style} (pages of ${PAGE_ORIGIN}, ${TOKEN_DAYS} days)`],
  ]);
}

/** Sends JSON and reads the reply. Throws FellmarkError with the problem for a refusal. */
async function call<T>(serverUrl: string, method: "PUT" | "POST", path: string, body: object): Promise<T> {
  const headers = { "content-type": "application/json" };
  const reply = await fetch(`${serverUrl}${path}`, { method, headers, body: JSON.stringify(body) });
  if (!reply.ok) throw new FellmarkError("refused", await reply.text());
  return (await reply.json()) as T;
}
