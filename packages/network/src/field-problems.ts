import { type FieldProblem, InputError } from "@fellmark/units";
import type { z } from "zod";

/** The value in full, defaults filled in. Throws InputError that points to every field at fault and names its limit. */
export function parseWith<Schema extends z.ZodType>(schema: Schema, body: unknown): z.output<Schema> {
  const parsed = schema.safeParse(body);
  if (!parsed.success) throw new InputError(parsed.error.issues.flatMap(problemsOf));
  return parsed.data;
}

/** Throws InputError where there is a problem. */
export function refuse(problems: FieldProblem[], code?: string): void {
  if (problems.length > 0) throw new InputError(problems, code);
}

/** What a check finds at fault: the problems of the InputError that it throws. */
export function problemsIn(check: () => unknown): readonly FieldProblem[] {
  try {
    check();
    return [];
  } catch (error) {
    if (error instanceof InputError) return error.problems;
    throw error;
  }
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
  const count = (faults: z.core.$ZodIssue[]) =>
    faults.reduce((sum, fault) => sum + (fault.code === "unrecognized_keys" ? fault.keys.length : 1), 0);
  return faultsOfForms.reduce((nearest, faults) => (count(faults) < count(nearest) ? faults : nearest));
}
