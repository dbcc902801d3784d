import { parseCoverageRequest } from "@fellmark/network";
import { createTempDir } from "@fellmark/testkit";
import request from "supertest";
import { afterAll, describe, expect, test } from "vitest";
import { ROUTES } from "../app.ts";
import { createFakeService } from "../testing/fakes.ts";
import { readOpenapiText } from "./get-openapi.ts";

interface Schema {
  description?: string;
  enum?: unknown[];
  items?: Schema;
  properties?: Record<string, Schema>;
  additionalProperties?: unknown;
  required?: string[];
}

interface Operation {
  operationId?: string;
  parameters?: { in: string; name: string; description?: string }[];
  responses: Record<string, { description: string; content?: Record<string, { schema?: Schema }> }>;
  requestBody?: { content: Record<string, { example?: unknown; schema?: Schema }> };
}

interface OpenapiDocument {
  openapi: string;
  paths: Record<string, Record<string, Operation>>;
  components: { schemas: Record<string, Schema> };
}

const text = readOpenapiText();
const openapi = JSON.parse(text) as OpenapiDocument;
const operations = Object.entries(openapi.paths).flatMap(([path, byMethod]) =>
  Object.entries(byMethod).map(([method, operation]) => ({ path, method, name: `${method} ${path}`, operation })),
);

const dir = createTempDir();
afterAll(() => dir.remove());

test("is served as it was built, once a process", async () => {
  const reply = await request(createFakeService(dir.path).app).get("/openapi.json").expect(200);
  expect(reply.text).toBe(text);
  expect(readOpenapiText()).toBe(text);
  expect(openapi.openapi).toMatch(/^3\.1\./);
});

test("describes every operation of the route table and no other", () => {
  const routed = Object.entries(ROUTES).flatMap(([path, byMethod]) => {
    const methods = Object.keys(byMethod).filter((method) => method !== "head");
    return methods.map((method) => `${method} ${path.replaceAll(/:(\w+)/g, "{$1}")}`);
  });
  expect(operations.map(({ name }) => name).sort()).toEqual(routed.sort());
});

test("gives every operation an id of its own, in words of one style", () => {
  const ids = operations.map(({ operation }) => operation.operationId ?? "");
  expect(new Set(ids).size).toBe(ids.length);
  for (const id of ids) expect(id).toMatch(/^[a-z]+[A-Z][A-Za-z]+$/);
});

test.each(operations)("$name: parameters, a schema for every body that is sent or received", ({ path, operation }) => {
  const inBraces = [...path.matchAll(/\{(\w+)\}/g)].map((match) => match[1]);
  const parameters = operation.parameters ?? [];
  expect(parameters.filter(({ in: place }) => place === "path").map(({ name }) => name)).toEqual(inBraces);
  for (const { name, description } of parameters) expect(description, name).toMatch(/./);
  const successes = Object.entries(operation.responses).filter(([status]) => status.startsWith("2"));
  expect(successes.length).toBeGreaterThan(0);
  for (const [status, { content }] of successes) {
    if (status === "204") continue;
    for (const [type, { schema }] of Object.entries(content ?? { missing: {} })) {
      expect(schema, `${status} ${type}`).toBeTypeOf("object");
      expect(Object.keys(schema ?? {}).length, `${status} ${type}`).toBeGreaterThan(0);
    }
  }
  for (const { schema } of Object.values(operation.requestBody?.content ?? {})) expect(schema).toBeTypeOf("object");
});

describe("a property", () => {
  const properties = [...propertiesIn(openapi, "")];

  test("is there by the hundred", () => {
    expect(properties.length).toBeGreaterThan(500);
  });

  test("has a description, wherever it stands", () => {
    expect(properties.filter(({ schema }) => !schema.description).map(({ at }) => at)).toEqual([]);
  });

  test("that is an enumeration of several words says what each means", () => {
    const mute = properties.filter(({ schema }) => {
      const values = (schema.enum ?? []).filter((value) => typeof value === "string");
      return values.length > 1 && !values.every((value) => schema.description?.includes(String(value)));
    });
    expect(mute.map(({ at }) => at)).toEqual([]);
  });

  test("states its range and default after its meaning", () => {
    const radio = openapi.components.schemas.CoverageRequest?.properties?.radios?.items;
    expect(radio?.properties?.noiseFigureDb?.description).toBe("Noise figure of the receiver, dB (0 to 20; default 6)");
  });
});

test("has no reference that leads nowhere", () => {
  const references = [...text.matchAll(/"#\/components\/schemas\/([^"]+)"/g)].map((match) => match[1] ?? "");
  expect(references).toContain("CoverageRequest");
  for (const name of references) expect(openapi.components.schemas).toHaveProperty(name);
});

test("describes the request as it comes in: defaults are optional, unknown keys are not allowed", () => {
  const schema = openapi.components.schemas.CoverageRequest;
  expect(schema?.additionalProperties).toBe(false);
  expect(schema?.required).not.toContain("quality");
  expect(schema?.required).toContain("sectors");
});

test("gives an example that the schema takes", () => {
  const { example } = openapi.paths["/v1/coverages"]?.post?.requestBody?.content["application/json"] ?? {};
  expect(parseCoverageRequest(example).sectors).toHaveLength(2);
});

/** Every entry below a key `properties`, with its place in the document. */
function* propertiesIn(value: unknown, at: string): Generator<{ at: string; schema: Schema }> {
  if (typeof value !== "object" || value === null) return;
  for (const [key, inner] of Object.entries(value)) {
    if (key === "example" || key === "default") continue;
    if (key === "properties" && !at.endsWith("/properties"))
      for (const [name, schema] of Object.entries(inner as Record<string, Schema>))
        yield { at: `${at}/${name}`, schema };
    yield* propertiesIn(inner, `${at}/${key}`);
  }
}
