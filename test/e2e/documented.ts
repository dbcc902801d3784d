interface Schema {
  $ref?: string;
  type?: string | string[];
  enum?: unknown[];
  const?: unknown;
  anyOf?: Schema[];
  oneOf?: Schema[];
  properties?: Record<string, Schema>;
  required?: string[];
  additionalProperties?: boolean | Schema;
  items?: Schema;
  prefixItems?: Schema[];
}

interface OpenapiDocument {
  paths: Record<
    string,
    Record<string, { responses: Record<string, { content?: Record<string, { schema?: Schema }> }> }>
  >;
  components: { schemas: Record<string, Schema> };
}

/** A check of replies against the OpenAPI document that the service itself serves. */
export interface Documentation {
  /** Pointers into a reply of 200 to GET (or another method) that are not as the document says, with the reason. */
  faults(path: string, reply: unknown, method?: string, status?: string): string[];
}

export async function readDocumentation(address: string): Promise<Documentation> {
  const document = (await (await fetch(`${address}/openapi.json`)).json()) as OpenapiDocument;
  return {
    faults(path, reply, method = "get", status = "200") {
      const content = document.paths[path]?.[method]?.responses[status]?.content ?? {};
      const schema = Object.values(content)[0]?.schema;
      return schema ? faultsIn(document, schema, reply, "") : [`${method} ${path} ${status} is not documented`];
    },
  };
}

/** Undocumented keys count as faults: a reply must not hold more than the document says. */
function faultsIn(document: OpenapiDocument, schema: Schema, value: unknown, at: string): string[] {
  if (schema.$ref) return faultsIn(document, resolve(document, schema.$ref), value, at);
  const forms = schema.anyOf ?? schema.oneOf;
  if (forms) {
    const faults = forms.map((form) => faultsIn(document, form, value, at));
    return faults.reduce((fewest, own) => (own.length < fewest.length ? own : fewest));
  }
  const wrong = wrongValue(schema, value);
  if (wrong) return [`${at || "/"}: ${wrong}`];
  if (Array.isArray(value))
    return value.flatMap((item, index) => {
      const inner = schema.prefixItems?.[index] ?? schema.items;
      return inner ? faultsIn(document, inner, item, `${at}/${index}`) : [];
    });
  return typeof value === "object" && value !== null ? faultsInObject(document, schema, value, at) : [];
}

function faultsInObject(document: OpenapiDocument, schema: Schema, value: object, at: string): string[] {
  const { properties = {}, required = [], additionalProperties = schema.properties === undefined } = schema;
  const missing = required.filter((key) => !(key in value)).map((key) => `${at}/${key}: is missing`);
  const wrong = Object.entries(value).flatMap(([key, inner]) => {
    const known = properties[key] ?? (typeof additionalProperties === "object" ? additionalProperties : undefined);
    if (known) return faultsIn(document, known, inner, `${at}/${key}`);
    return additionalProperties === false ? [`${at}/${key}: is not documented`] : [];
  });
  return [...missing, ...wrong];
}

function wrongValue({ type, enum: choices, const: only }: Schema, value: unknown): string | undefined {
  if (only !== undefined && value !== only) return `is ${JSON.stringify(value)}, not ${JSON.stringify(only)}`;
  if (choices && !choices.includes(value)) return `is ${JSON.stringify(value)}, not one of ${choices.join(", ")}`;
  const types = type === undefined ? [] : [type].flat();
  if (types.length === 0 || types.some((name) => isOfType(name, value))) return undefined;
  return `is ${JSON.stringify(value)?.slice(0, 40)}, not ${types.join(" or ")}`;
}

function isOfType(name: string, value: unknown): boolean {
  if (name === "null") return value === null;
  if (name === "array") return Array.isArray(value);
  if (name === "integer") return Number.isInteger(value);
  if (name === "object") return typeof value === "object" && value !== null && !Array.isArray(value);
  return typeof value === name;
}

function resolve({ components }: OpenapiDocument, reference: string): Schema {
  const schema = components.schemas[reference.replace("#/components/schemas/", "")];
  if (!schema) throw new Error(`${reference} leads nowhere`);
  return schema;
}
