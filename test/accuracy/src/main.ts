import { readFileSync, writeFileSync } from "node:fs";
import { resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { InputError, toErrorRecord } from "@fellmark/units";
import { type AccuracyReport, accuracyReport } from "./accuracy-report.ts";
import { sectionOf, writeSection } from "./accuracy-section.ts";
import { type MeasuredLink, parseMeasuredLinks } from "./measured-links.ts";
import { accuracyLines } from "./report-lines.ts";

const fromHere = (path: string) => fileURLToPath(new URL(path, import.meta.url));
const DEFAULT_DATA = fromHere("../../../../shared/measured/links-915mhz.json");
const DOCUMENT = fromHere("../../../docs/accuracy.md");

interface Arguments {
  links: MeasuredLink[];
  jsonPath: string | null;
  rewritesDocument: boolean;
}

const input = readInput();
if (input) {
  const report = accuracyReport(input.links);
  process.stdout.write(`${accuracyLines(report).join("\n")}\n`);
  if (input.jsonPath !== null) writeFileSync(input.jsonPath, `${JSON.stringify(report, null, 1)}\n`);
  if (input.rewritesDocument) rewriteDocument(report);
}

/** Puts the section between its marks; prints it where the document has none. */
function rewriteDocument(report: AccuracyReport): void {
  const document = readFileSync(DOCUMENT, "utf8");
  const section = writeSection(report);
  const old = sectionOf(document);
  if (old === null)
    process.stdout.write(`\ndocs/accuracy.md has no such section; put this where it belongs:\n\n${section}\n`);
  else
    writeFileSync(
      DOCUMENT,
      document.replace(old, () => section),
    );
}

/** The arguments and the links they name; null after a problem was reported. */
function readInput(): Arguments | null {
  const fromCaller = (path: string) => resolve(process.env.INIT_CWD ?? process.cwd(), path);
  try {
    const { values } = parseArgs({
      options: { data: { type: "string" }, json: { type: "string" }, write: { type: "boolean", default: false } },
    });
    if (values.write && values.data !== undefined) {
      throw new InputError([{ pointer: "/write", detail: "goes with the links of ../shared only, not with --data" }]);
    }
    const dataPath = values.data === undefined ? DEFAULT_DATA : fromCaller(values.data);
    const links = parseMeasuredLinks(JSON.parse(readFileSync(dataPath, "utf8")));
    const jsonPath = values.json === undefined ? null : fromCaller(values.json);
    return { links, jsonPath, rewritesDocument: values.write };
  } catch (error) {
    const { detail, problems } = toErrorRecord(error);
    const problem = { type: "about:blank", title: "Bad input", status: 422, code: "invalid_input", detail };
    process.stderr.write(`${JSON.stringify({ ...problem, errors: problems ?? [] })}\n`);
    process.exitCode = 2;
    return null;
  }
}
