import { type FieldProblem, InputError } from "@fellmark/units";
import type { z } from "zod";
import { describeField, type FieldPlace, listChoices, listFields } from "./describe-field.ts";
import { guessMeaning } from "./findings/likely-meaning.ts";
import { findNearestName } from "./nearest-name.ts";

/** The value in full, defaults filled in. Throws InputError that points to the fields at fault and names their limits. */
export function parseBody<Schema extends z.ZodType>(schema: Schema, body: unknown): z.output<Schema> {
  const parsed = schema.safeParse(body, { reportInput: true });
  if (!parsed.success) throw new InputError(listProblems(parsed.error.issues, { schema, body }));
  return parsed.data;
}

/** Throws InputError where there is a problem. */
export function refuse(problems: FieldProblem[], code?: string): void {
  if (problems.length > 0) throw new InputError(problems, code);
}

/** The problems of the InputError that a check throws; none where it passes. */
export function listThrownProblems(check: () => unknown): readonly FieldProblem[] {
  try {
    check();
    return [];
  } catch (error) {
    if (error instanceof InputError) return error.problems;
    throw error;
  }
}

/** The body and the schema that it was checked against. */
type Sent = Omit<FieldPlace, "path">;

/** More problems than this are neither worded nor sent: a body can hold a hundred thousand unknown keys. */
const MAX_LISTED = 1000;

function listProblems(issues: readonly z.core.$ZodIssue[], sent: Sent): FieldProblem[] {
  const problems: FieldProblem[] = [];
  for (const issue of issues) {
    if (problems.length >= MAX_LISTED) break;
    problems.push(...toProblems(issue, sent));
  }
  return problems;
}

function toPointer(path: readonly PropertyKey[]): string {
  return path.map((key) => `/${String(key).replaceAll("~", "~0").replaceAll("/", "~1")}`).join("");
}

function toProblems(issue: z.core.$ZodIssue, sent: Sent): FieldProblem[] {
  const pointer = toPointer(issue.path);
  if (issue.code === "invalid_union" && issue.errors.length > 0) {
    return findNearestForm(issue.errors).flatMap((inner) =>
      toProblems({ ...inner, path: [...issue.path, ...inner.path] }, sent),
    );
  }
  if (issue.code === "unrecognized_keys") {
    const keys = issue.keys.slice(0, MAX_LISTED);
    const known = listFields({ ...sent, path: issue.path });
    return keys.map((key) => ({ pointer: `${pointer}${toPointer([key])}`, detail: wordUnknownField(key, known) }));
  }
  const limit = findLimit(issue);
  return [{ pointer, detail: wordFault(issue, sent), ...(limit !== undefined && { limit }) }];
}

function wordUnknownField(key: string, known: readonly string[]): string {
  const nearest = key.length <= MAX_SHOWN_CHARS ? findNearestName(key, known) : undefined;
  return nearest === undefined ? "unknown field" : `unknown field; did you mean "${nearest}"?`;
}

function findLimit(issue: z.core.$ZodIssue): string | number | undefined {
  if (issue.code === "too_big") return Number(issue.maximum);
  if (issue.code === "too_small") return Number(issue.minimum);
  return issue.code === "invalid_value" ? issue.values.join(", ") : undefined;
}

/** The fault in words: what is wrong with the value, and what the field means with its range. */
function wordFault(issue: z.core.$ZodIssue, sent: Sent): string {
  const place = { ...sent, path: issue.path };
  const value = issue.code === "invalid_union" ? readDiscriminator(issue) : issue.input;
  const meaning = describeField(place);
  if (value === undefined && isAboutValue(issue))
    return meaning === undefined ? "is missing" : `is missing: ${meaning}`;
  const fault = issue.code === "invalid_union" ? wordNotAChoice(value, listChoices(place)) : wordValue(issue);
  const guess = guessMeaning(String(issue.path.at(-1)), value);
  return [fault, meaning === undefined ? "" : `: ${meaning}`, guess === undefined ? "" : `; ${guess}`].join("");
}

function isAboutValue({ code }: z.core.$ZodIssue): boolean {
  return code === "invalid_type" || code === "invalid_value" || code === "invalid_union";
}

/** The value of the field that tells the forms of an object apart. */
function readDiscriminator({ input, path }: z.core.$ZodIssue): unknown {
  const key = path.at(-1);
  return typeof input === "object" && input !== null && key !== undefined ? Reflect.get(input, key) : input;
}

function wordValue(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case "invalid_type":
      return `is ${showValue(issue.input)}, not ${TYPE_NAMES[issue.expected] ?? issue.expected}`;
    case "too_small":
    case "too_big":
      return wordSize(issue);
    case "invalid_value":
      return wordNotAChoice(issue.input, issue.values);
    default:
      return issue.message;
  }
}

function wordNotAChoice(value: unknown, choices: readonly unknown[]): string {
  return `is ${showValue(value)}, not ${choices.length === 1 ? "" : "one of "}${choices.map(String).join(", ")}`;
}

const TYPE_NAMES: Readonly<Record<string, string>> = {
  number: "a number",
  int: "a whole number",
  string: "a text",
  boolean: "true or false",
  array: "a list",
  tuple: "a list",
  object: "an object",
  record: "an object",
};

const COUNTED: Readonly<Record<string, string>> = { string: "characters", array: "items", tuple: "items" };

type SizeIssue = z.core.$ZodIssueTooBig | z.core.$ZodIssueTooSmall;

function wordSize(issue: SizeIssue): string {
  const isTooBig = issue.code === "too_big";
  const limit = isTooBig ? issue.maximum : issue.minimum;
  const counted = COUNTED[issue.origin];
  const { length } = typeof issue.input === "string" || Array.isArray(issue.input) ? issue.input : [];
  if (counted !== undefined) return `has ${length} ${counted}, ${isTooBig ? "more" : "fewer"} than ${limit}`;
  const shown = showValue(issue.input);
  if (issue.inclusive === false) return `is ${shown}, not ${isTooBig ? "below" : "above"} ${limit}`;
  return `is ${shown}, ${isTooBig ? "above" : "below"} ${limit}`;
}

/** Longest text that a message repeats. */
const MAX_SHOWN_CHARS = 40;

function showValue(input: unknown): string {
  if (Array.isArray(input)) return "a list";
  if (typeof input === "object" && input !== null) return "an object";
  if (typeof input !== "string") return String(input);
  return JSON.stringify(input.length > MAX_SHOWN_CHARS ? `${input.slice(0, MAX_SHOWN_CHARS)}...` : input);
}

/** Of the forms that a field may take, the faults of the one that was most likely meant: it has the fewest. */
function findNearestForm(faultsOfForms: z.core.$ZodIssue[][]): z.core.$ZodIssue[] {
  const count = (faults: z.core.$ZodIssue[]) =>
    faults.reduce((sum, fault) => sum + (fault.code === "unrecognized_keys" ? fault.keys.length : 1), 0);
  return faultsOfForms.reduce((nearest, faults) => (count(faults) < count(nearest) ? faults : nearest));
}
