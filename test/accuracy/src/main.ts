import { readFileSync, writeFileSync } from "node:fs";
import { resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { toErrorRecord } from "@fellmark/units";
import { accuracyLines, accuracyReport } from "./accuracy-report.ts";
import { type MeasuredLink, parseMeasuredLinks } from "./measured-links.ts";

const DEFAULT_DATA = fileURLToPath(new URL("../../../../shared/measured/links-915mhz.json", import.meta.url));

const input = readInput();
if (input) {
  const report = accuracyReport(input.links);
  process.stdout.write(`${accuracyLines(report).join("\n")}\n`);
  if (input.jsonPath !== null) writeFileSync(input.jsonPath, `${JSON.stringify(report, null, 1)}\n`);
}

/** The arguments and the links they name; null after a problem was reported. */
function readInput(): { links: MeasuredLink[]; jsonPath: string | null } | null {
  const fromCaller = (path: string) => resolve(process.env.INIT_CWD ?? process.cwd(), path);
  try {
    const { values } = parseArgs({ options: { data: { type: "string" }, json: { type: "string" } } });
    const dataPath = values.data === undefined ? DEFAULT_DATA : fromCaller(values.data);
    const links = parseMeasuredLinks(JSON.parse(readFileSync(dataPath, "utf8")));
    return { links, jsonPath: values.json === undefined ? null : fromCaller(values.json) };
  } catch (error) {
    const { detail, problems } = toErrorRecord(error);
    const problem = { type: "about:blank", title: "Bad input", status: 422, code: "invalid_input", detail };
    process.stderr.write(`${JSON.stringify({ ...problem, errors: problems ?? [] })}\n`);
    process.exitCode = 2;
    return null;
  }
}
