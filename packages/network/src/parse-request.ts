import { findGeodesic } from "@fellmark/geodesy";
import type { FieldProblem } from "@fellmark/units";
import { findShapeProblems } from "./area-shapes.ts";
import { estimateCost, MAX_CELLS, MAX_SECTOR_CELLS, MAX_WINDOW_CELLS } from "./cost.ts";
import { estimateSeconds, MAX_JOB_S, sumSeconds } from "./cost-seconds.ts";
import { COVERAGE_LIMITS, type CoverageRequest, coverageRequestSchema } from "./coverage-request.ts";
import { listCrossProblems } from "./cross-checks.ts";
import { parseBody, refuse } from "./field-problems.ts";
import { listPlaceSlips } from "./findings/place-slips.ts";

/**
 * The request in full, defaults filled in, from parsed JSON.
 * Throws InputError: code `invalid_input` where a field is wrong or the work too large, `not_supported` where a field
 * asks for what the model does not compute yet. Every problem points to its field and names the limit.
 */
export function parseCoverageRequest(body: unknown): CoverageRequest {
  const request = parseBody(coverageRequestSchema, body);
  checkCoverageRequest(request);
  return request;
}

/** Throws as parseCoverageRequest does for what a schema cannot say. `at`: pointer of the request in its document. */
export function checkCoverageRequest(request: CoverageRequest, at = ""): void {
  const below = (problems: FieldProblem[]) =>
    problems.map((problem) => ({ ...problem, pointer: `${at}${problem.pointer}` }));
  const cpes = [{ pointer: "/cpe", cpe: request.cpe }];
  refuse(below([...listCrossProblems({ ...request, cpes }), ...findBadArea(request)]));
  refuse(below(listTooCostly(request)));
}

/** Throws InputError `not_supported` where a request for a map asks for a method that only answers have. */
export function checkMapMethod({ model }: Pick<CoverageRequest, "model">, at = ""): void {
  if (model.method !== "p1812") return;
  const detail = "maps are not computed by p1812: use path-clutter or end-clutter, or ask for single places";
  refuse([{ pointer: `${at}/model/method`, detail }], "not_supported");
}

function findBadArea(request: CoverageRequest): FieldProblem[] {
  const { cellM, zoom } = request.area;
  const shapes = findShapeProblems(request.area);
  if (cellM === undefined || zoom === undefined) return shapes;
  return [...shapes, { pointer: "/area/zoom", detail: "state the cell size or the zoom, not both" }];
}

function listTooCostly(request: CoverageRequest): FieldProblem[] {
  const cost = estimateCost(request);
  const problems: FieldProblem[] = [];
  for (const list of ["sites", "sectors"] as const) {
    const { length } = request[list];
    const limit = COVERAGE_LIMITS[list];
    if (length > limit)
      problems.push({ pointer: `/${list}`, detail: `${length} ${list} are too many to map at once`, limit });
  }
  const add = (what: string, value: number, limit: number, reason = "") => {
    const detail = `${Math.round(value)} ${what} of ${cost.cellM.toFixed(1)} m; enlarge the cell or shrink the radius${reason}`;
    if (value > limit) problems.push({ pointer: "/area", detail, limit });
  };
  add("cells to sweep", cost.sweptCells, MAX_CELLS);
  add("cells times sectors", cost.sectorCells, MAX_SECTOR_CELLS);
  add("cells in the window around all sites", cost.windowCells, MAX_WINDOW_CELLS, describeDistantSite(request));
  return problems.length > 0 ? problems : listTooSlow(request);
}

/** The part that takes longest, where all together take too long. */
function listTooSlow(request: CoverageRequest): FieldProblem[] {
  const parts = estimateSeconds(request);
  const seconds = Math.round(sumSeconds(parts));
  if (seconds <= MAX_JOB_S) return [];
  const [most] = parts.toSorted((one, other) => other.seconds - one.seconds);
  const detail = `the job would take ${seconds} s of one core, ${Math.round(most.seconds)} s of it for ${most.what}`;
  return [{ pointer: most.pointer, detail: `${detail}; leave some out, or map larger cells`, limit: MAX_JOB_S }];
}

/** Sites of one map lie nearer to each other than this. Common practice, no source. */
const MAX_APART_M = 300_000;

/** Names a site so far from the first that a coordinate of either is probably wrong; empty where there is none. */
function describeDistantSite({ sites }: CoverageRequest): string {
  const [first] = sites;
  const index = sites.findIndex((site) => findGeodesic(first, site).distanceM > MAX_APART_M);
  if (index < 0) return "";
  const km = Math.round(findGeodesic(first, sites[index]).distanceM / 1000);
  const meant = [first, sites[index]].flatMap((site, side) => {
    const other = side === 0 ? sites[index] : first;
    return listPlaceSlips(site).filter(({ place }) => findGeodesic(place, other).distanceM <= MAX_APART_M);
  })[0];
  const cause = meant ? `probably ${meant.cause}` : "check longitude and latitude";
  return `; site "${sites[index].id}" is ${km} km from site "${first.id}": ${cause}`;
}
