import type { Compute } from "@fellmark/compute";
import { type CoverageRequest, type Finding, requestFindings } from "@fellmark/network";

const LIMITS = { deadlineMs: 600_000 };

/** Finds what looks like a slip in a coverage request over a terrain folder; `at` is its JSON pointer in the file. */
export async function findRequestSlips(
  { request, at = "" }: { request: CoverageRequest; at?: string },
  terrainDir: string,
  compute: Compute,
): Promise<Finding[]> {
  const facts = await compute.terrainFacts(terrainDir, request, LIMITS);
  return requestFindings(request, facts).map((finding) => ({ ...finding, pointer: `${at}${finding.pointer}` }));
}
