import { type FieldProblem, InputError } from "@fellmark/units";
import type { z } from "zod";
import { estimateCost, MAX_CELLS, MAX_SECTOR_CELLS, MAX_WINDOW_CELLS } from "./cost.ts";
import { type AntennaSpec, type CoverageRequest, coverageRequestSchema } from "./coverage-request.ts";

/**
 * The request in full, defaults filled in, from parsed JSON.
 * Throws InputError: code `invalid_input` where a field is wrong or the work too large, `not_supported` where a field
 * asks for what the model does not compute yet. Every problem points to its field and names the limit.
 */
export function parseCoverageRequest(body: unknown): CoverageRequest {
  const parsed = coverageRequestSchema.safeParse(body);
  if (!parsed.success) throw new InputError(parsed.error.issues.flatMap(problemsOf));
  const request = parsed.data;
  const problems = [...duplicateIds(request), ...danglingReferences(request), ...badCuts(request), ...badArea(request)];
  if (problems.length > 0) throw new InputError(problems);
  const unsupported = notSupportedYet(request);
  if (unsupported.length > 0) throw new InputError(unsupported, "not_supported");
  const excessive = tooCostly(request);
  if (excessive.length > 0) throw new InputError(excessive);
  return request;
}

function pointerOf(path: PropertyKey[]): string {
  return path.map((key) => `/${String(key).replaceAll("~", "~0").replaceAll("/", "~1")}`).join("");
}

function problemsOf(issue: z.core.$ZodIssue): FieldProblem[] {
  const pointer = pointerOf(issue.path);
  if (issue.code === "invalid_union" && issue.errors.length > 0) {
    return nearestForm(issue.errors).flatMap((inner) => problemsOf({ ...inner, path: [...issue.path, ...inner.path] }));
  }
  if (issue.code === "unrecognized_keys") {
    return issue.keys.map((key) => ({ pointer: `${pointer}${pointerOf([key])}`, detail: "unknown field" }));
  }
  if (issue.code === "too_big") return [{ pointer, detail: issue.message, limit: Number(issue.maximum) }];
  if (issue.code === "too_small") return [{ pointer, detail: issue.message, limit: Number(issue.minimum) }];
  if (issue.code === "invalid_value") return [{ pointer, detail: issue.message, limit: issue.values.join(", ") }];
  return [{ pointer, detail: issue.message }];
}

/** Of the forms that a field may take, the faults of the one that was most likely meant: it has the fewest. */
function nearestForm(faultsOfForms: z.core.$ZodIssue[][]): z.core.$ZodIssue[] {
  return faultsOfForms.reduce((nearest, faults) => (faults.length < nearest.length ? faults : nearest));
}

function duplicateIds(request: CoverageRequest): FieldProblem[] {
  const problems: FieldProblem[] = [];
  for (const list of ["sites", "antennas", "radios", "sectors", "plans"] as const) {
    const seen = new Set<string>();
    request[list].forEach(({ id }, index) => {
      if (seen.has(id)) problems.push({ pointer: `/${list}/${index}/id`, detail: `"${id}" stands twice` });
      seen.add(id);
    });
  }
  return problems;
}

function danglingReferences(request: CoverageRequest): FieldProblem[] {
  const ids = {
    site: new Set(request.sites.map((site) => site.id)),
    antenna: new Set(request.antennas.map((antenna) => antenna.id)),
    radio: new Set(request.radios.map((radio) => radio.id)),
  };
  const problems: FieldProblem[] = [];
  const check = (pointer: string, kind: keyof typeof ids, id: string) => {
    if (!ids[kind].has(id)) problems.push({ pointer, detail: `there is no ${kind} "${id}" in this request` });
  };
  request.sectors.forEach((sector, index) => {
    for (const kind of ["site", "antenna", "radio"] as const) check(`/sectors/${index}/${kind}`, kind, sector[kind]);
  });
  for (const kind of ["antenna", "radio"] as const) check(`/kit/${kind}`, kind, request.kit[kind]);
  return problems;
}

type Cuts = Extract<AntennaSpec, { kind: "cuts" }>;

function badCuts(request: CoverageRequest): FieldProblem[] {
  return request.antennas.flatMap((antenna, index) =>
    antenna.kind === "cuts" ? badCut(antenna, "horizontal", index).concat(badCut(antenna, "vertical", index)) : [],
  );
}

function badCut(antenna: Cuts, cut: "horizontal" | "vertical", index: number): FieldProblem[] {
  const problems: FieldProblem[] = [];
  antenna[cut].forEach(([angleDeg], row) => {
    const before = antenna[cut][row - 1]?.[0];
    const pointer = `/antennas/${index}/${cut}/${row}`;
    if (before !== undefined && angleDeg <= before) problems.push({ pointer, detail: "angles must rise" });
  });
  const first = antenna[cut][0]?.[0] ?? 0;
  const last = antenna[cut].at(-1)?.[0] ?? 0;
  if (last - first >= 360) {
    const pointer = `/antennas/${index}/${cut}/${antenna[cut].length - 1}`;
    problems.push({ pointer, detail: "the same direction is listed twice", limit: "less than 360 degrees in all" });
  }
  return problems;
}

function badArea(request: CoverageRequest): FieldProblem[] {
  const { cellM, zoom } = request.area;
  if (cellM === undefined || zoom === undefined) return [];
  return [{ pointer: "/area/zoom", detail: "state the cell size or the zoom, not both" }];
}

function notSupportedYet(request: CoverageRequest): FieldProblem[] {
  const problems: FieldProblem[] = [];
  const refuse = (pointer: string, detail: string) =>
    problems.push({ pointer, detail: `not supported yet: ${detail}` });
  if (!("class" in request.model.clutter)) refuse("/model/clutter", "clutter from a raster; give one class for all");
  return problems;
}

function tooCostly(request: CoverageRequest): FieldProblem[] {
  const cost = estimateCost(request);
  const problems: FieldProblem[] = [];
  const add = (what: string, value: number, limit: number) => {
    const detail = `${Math.round(value)} ${what} of ${cost.cellM.toFixed(1)} m; enlarge the cell or shrink the radius`;
    if (value > limit) problems.push({ pointer: "/area", detail, limit });
  };
  add("cells to sweep", cost.sweptCells, MAX_CELLS);
  add("cells times sectors", cost.sectorCells, MAX_SECTOR_CELLS);
  add("cells in the window around all sites", cost.windowCells, MAX_WINDOW_CELLS);
  return problems;
}
