import type { Finding } from "@fellmark/network";
import { stripControls } from "./print.ts";

/** Slips that are printed before work starts. */
const SHOWN_SLIPS = 20;

/**
 * Prints values that look like slips to stderr, before work starts: the value, its likely meaning, what to state instead.
 * Hints are left to the warnings of the result.
 */
export function printSlips(findings: readonly Finding[]): void {
  const slips = findings.filter(({ severity }) => severity !== "hint");
  const lines = slips
    .slice(0, SHOWN_SLIPS)
    .map((slip) => `! ${slip.code}: ${formatSlip(slip)}\n    at ${slip.pointer}`);
  const more = slips.length > lines.length ? [`and ${slips.length - lines.length} more`] : [];
  if (lines.length > 0) process.stderr.write(`${stripControls([...lines, ...more].join("\n"))}\n`);
}

/** One sentence of value and likely meaning, and the suggestion. */
export function formatSlip({ detail, likelyCause, suggestion }: Finding): string {
  return `${detail}. Probably ${likelyCause}: ${suggestion}`;
}
