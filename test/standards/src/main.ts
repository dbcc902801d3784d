import { writeFileSync } from "node:fs";
import { resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { toErrorRecord } from "@fellmark/units";
import { readDataFolder } from "./data-files.ts";
import { type StandardsReport, standardsLines, standardsReport } from "./report.ts";
import { checkFolder } from "./standards.ts";

const DEFAULT_DATA = fileURLToPath(new URL("../../../../shared/standards", import.meta.url));

const input = readInput();
if (input) {
  const { report, jsonPath } = input;
  process.stdout.write(`${standardsLines(report).join("\n")}\n`);
  if (jsonPath !== null) writeFileSync(jsonPath, `${JSON.stringify(report, null, 1)}\n`);
  if (!report.ok) process.exitCode = 1;
}

/** The report on the folder that the arguments name; null after bad input was reported. */
function readInput(): { report: StandardsReport; jsonPath: string | null } | null {
  const fromCaller = (path: string) => resolve(process.env.INIT_CWD ?? process.cwd(), path);
  try {
    const { values } = parseArgs({ options: { data: { type: "string" }, json: { type: "string" } } });
    const folder = readDataFolder(values.data === undefined ? DEFAULT_DATA : fromCaller(values.data));
    const report = standardsReport(checkFolder(folder));
    return { report, jsonPath: values.json === undefined ? null : fromCaller(values.json) };
  } catch (error) {
    const { detail, problems } = toErrorRecord(error);
    const problem = { type: "about:blank", title: "Bad input", status: 422, code: "invalid_input", detail };
    process.stderr.write(`${JSON.stringify({ ...problem, errors: problems ?? [] })}\n`);
    process.exitCode = 2;
    return null;
  }
}
