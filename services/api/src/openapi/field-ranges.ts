/** The part of a JSON Schema that this file reads. */
interface FieldSchema {
  description?: string;
  minimum?: number;
  maximum?: number;
  exclusiveMinimum?: number;
  exclusiveMaximum?: number;
  default?: unknown;
}

/** A copy of an OpenAPI document in which each field's description ends with its range and default. */
export function stateRanges<Document extends object>(document: Document): Document {
  return JSON.parse(JSON.stringify(document), (key, value: unknown) => {
    if (key === "properties" && isRecord(value)) return mapValues(value, describeRange);
    if (key === "parameters" && Array.isArray(value)) return value.map(describeParameter);
    return value;
  });
}

function describeParameter(parameter: unknown): unknown {
  if (!isRecord(parameter) || !isRecord(parameter.schema)) return parameter;
  const { description = parameter.schema.description } = parameter;
  return {
    ...parameter,
    description: describeWithRange({ ...parameter.schema, ...(typeof description === "string" && { description }) }),
  };
}

function describeRange(field: unknown): unknown {
  return isRecord(field) ? { ...field, description: describeWithRange(field) } : field;
}

function describeWithRange(field: FieldSchema): string | undefined {
  const facts = [wordRange(field), wordDefault(field)].filter((fact) => fact !== undefined);
  if (field.description === undefined || facts.length === 0) return field.description;
  return `${field.description} (${facts.join("; ")})`;
}

function wordRange({ minimum, maximum, exclusiveMinimum, exclusiveMaximum }: FieldSchema): string | undefined {
  // Whole numbers have the widest limits that JavaScript holds, which say nothing.
  const from = minimum !== undefined && minimum > Number.MIN_SAFE_INTEGER ? `${minimum}` : undefined;
  const to = maximum !== undefined && maximum < Number.MAX_SAFE_INTEGER ? `${maximum}` : undefined;
  if (from !== undefined && to !== undefined) return `${from} to ${to}`;
  const lower =
    from !== undefined ? `${from} or more` : exclusiveMinimum !== undefined ? `above ${exclusiveMinimum}` : "";
  const upper = to !== undefined ? `at most ${to}` : exclusiveMaximum !== undefined ? `below ${exclusiveMaximum}` : "";
  return [lower, upper].filter((limit) => limit !== "").join(", ") || undefined;
}

function wordDefault(field: FieldSchema): string | undefined {
  return field.default === undefined ? undefined : `default ${JSON.stringify(field.default)}`;
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function mapValues(record: Record<string, unknown>, change: (value: unknown) => unknown): Record<string, unknown> {
  return Object.fromEntries(Object.entries(record).map(([key, value]) => [key, change(value)]));
}
