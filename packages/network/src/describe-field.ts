import { z } from "zod";

/** A field: the schema of the whole, the path in it, and the body that was sent, which tells forms apart. */
export interface FieldPlace {
  schema: z.core.$ZodType;
  path: readonly PropertyKey[];
  body: unknown;
}

/**
 * Meaning of the field at a path in one line, with its range or choices: "latitude in degrees, north positive, WGS84,
 * -85.05 to 85.05". Undefined where the schema has no description there, or forms with different ones.
 */
export function describeField(place: FieldPlace): string | undefined {
  const [field, another] = findFields(place);
  const description = field && readDescription(field);
  if (!field || description === undefined || (another && readDescription(another) !== description)) return undefined;
  const range = describeRange(field);
  const meaning = lowerFirst(dropChoices(description));
  return range === undefined ? meaning : `${meaning}, ${range}`;
}

/** Values of the field at a path that tells the forms of its object apart, such as `kind`. */
export function listChoices(place: FieldPlace): string[] {
  return findFields(place).flatMap((field) => {
    const bare = unwrap(field);
    if (bare instanceof z.ZodLiteral) return [...bare.values].map(String);
    return bare instanceof z.ZodEnum ? bare.options.map(String) : [];
  });
}

/** Names of the fields that the object at a path may have, by the form that it is in. */
export function listFields(place: FieldPlace): string[] {
  const value = place.path.reduce((at: unknown, key) => (isRecord(at) ? at[key] : undefined), place.body);
  return findFields(place).flatMap((field) => listKeys(unwrap(field), value));
}

function listKeys(schema: z.core.$ZodType, value: unknown): string[] {
  if (schema instanceof z.ZodUnion) return listForms(schema, value).flatMap((form) => listKeys(unwrap(form), value));
  return schema instanceof z.ZodObject ? Object.keys(schema.shape) : [];
}

/** Schemas of the field; more than one where a union has it in several forms. */
function findFields({ schema, path, body }: FieldPlace): z.core.$ZodType[] {
  const [key, ...rest] = path;
  if (key === undefined) return [schema];
  const below = isRecord(body) ? body[key] : undefined;
  return listChildren(schema, key, body).flatMap((child) => findFields({ schema: child, path: rest, body: below }));
}

function listChildren(schema: z.core.$ZodType, key: PropertyKey, value: unknown): z.core.$ZodType[] {
  const bare = unwrap(schema);
  if (bare instanceof z.ZodObject) return Object.hasOwn(bare.shape, key) ? [bare.shape[String(key)]] : [];
  if (bare instanceof z.ZodArray) return [bare.element];
  if (bare instanceof z.ZodTuple) return bare.def.items.slice(Number(key), Number(key) + 1);
  if (bare instanceof z.ZodRecord) return [bare.valueType];
  if (bare instanceof z.ZodUnion) return listForms(bare, value).flatMap((form) => listChildren(form, key, value));
  return [];
}

/** The forms of a union that the value's discriminator, such as `kind`, leaves; all where it has none or a wrong one. */
function listForms(union: z.ZodUnion, value: unknown): readonly z.core.$ZodType[] {
  if (!(union instanceof z.ZodDiscriminatedUnion) || !isRecord(value)) return union.options;
  const name = union.def.discriminator;
  const chosen = union.options.filter((form) =>
    listChildren(form, name, value).some((field) => z.safeParse(field, value[name]).success),
  );
  return chosen.length > 0 ? chosen : union.options;
}

function isRecord(value: unknown): value is Record<PropertyKey, unknown> {
  return typeof value === "object" && value !== null;
}

function findInnerSchema(schema: z.core.$ZodType): z.core.$ZodType | undefined {
  if (schema instanceof z.ZodPipe) return schema.in;
  const wrapsOne =
    schema instanceof z.ZodOptional ||
    schema instanceof z.ZodExactOptional ||
    schema instanceof z.ZodNullable ||
    schema instanceof z.ZodDefault ||
    schema instanceof z.ZodPrefault;
  return wrapsOne ? schema.unwrap() : undefined;
}

function unwrap(schema: z.core.$ZodType): z.core.$ZodType {
  const inner = findInnerSchema(schema);
  return inner ? unwrap(inner) : schema;
}

function readDescription(schema: z.core.$ZodType): string | undefined {
  const inner = findInnerSchema(schema);
  return z.globalRegistry.get(schema)?.description ?? (inner && readDescription(inner));
}

/** Range of a number or the choices of a literal, in words. Enumerations say theirs in the description. */
function describeRange(schema: z.core.$ZodType): string | undefined {
  const bare = unwrap(schema);
  if (bare instanceof z.ZodLiteral) return [...bare.values].map(String).join(" or ");
  if (!(bare instanceof z.ZodNumber)) return undefined;
  const { minimum, maximum, exclusiveMinimum, exclusiveMaximum } = z.toJSONSchema(bare);
  if (minimum !== undefined && maximum !== undefined) return `${shorten(minimum)} to ${shorten(maximum)}`;
  const lower =
    minimum !== undefined ? `${minimum} or more` : exclusiveMinimum !== undefined && `above ${exclusiveMinimum}`;
  const upper =
    maximum !== undefined ? `at most ${maximum}` : exclusiveMaximum !== undefined && `below ${exclusiveMaximum}`;
  return [lower, upper].filter(Boolean).join(", ") || undefined;
}

function shorten(limit: number): string {
  return String(Math.round(limit * 1e4) / 1e4);
}

/** The part of an enumeration's description before its values: a message lists them itself. */
function dropChoices(description: string): string {
  return description.split(". `")[0] ?? description;
}

/** The text to go on in the middle of a sentence; abbreviations such as CPE keep their capitals. */
function lowerFirst(text: string): string {
  return /^[A-Z][a-z]/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text;
}
