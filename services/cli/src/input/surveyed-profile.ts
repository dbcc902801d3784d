import type { SurveyedProfile } from "@fellmark/answers";
import { type FieldProblem, InputError } from "@fellmark/units";

const FIELDS = ["distanceKm", "groundAmslM", "clutterHeightM"];

/** Checks the shape of a profile file; the compute child checks its numbers. Throws InputError. */
export function parseSurveyedProfile(value: unknown): SurveyedProfile {
  const record = (typeof value === "object" && value !== null ? value : {}) as Record<string, unknown>;
  const problems: FieldProblem[] = Object.keys(record)
    .filter((key) => !FIELDS.includes(key))
    .map((key) => ({ pointer: `/profile/${key}`, detail: "unknown field", limit: FIELDS.join(", ") }));
  for (const key of FIELDS) {
    const list = record[key];
    if (key === "clutterHeightM" && list === undefined) continue;
    const isNumbers = Array.isArray(list) && list.every((item) => typeof item === "number" && Number.isFinite(item));
    if (!isNumbers) problems.push({ pointer: `/profile/${key}`, detail: "must be a list of numbers" });
  }
  if (problems.length > 0) throw new InputError(problems);
  return record as unknown as SurveyedProfile;
}
