import { createTempDir } from "@fellmark/testkit";
import request from "supertest";
import { afterAll, expect, test } from "vitest";
import { createFakeService } from "../testing/fakes.ts";
import { antennaKindsSchema, cableClassesSchema, clutterClassesSchema, powerRulesSchema } from "./list-replies.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

test.each([
  ["/v1/rules", powerRulesSchema, "us-5725-5850-ptmp"],
  ["/v1/antenna-kinds", antennaKindsSchema, "patch-array"],
  ["/v1/cable-classes", cableClassesSchema, "foam-10mm"],
  ["/v1/clutter-classes", clutterClassesSchema, "dense-urban"],
])("%s lists what a request can name, as its schema says, whole", async (path, schema, name) => {
  const { body, text } = await request(createFakeService(dir.path).app).get(path).expect(200);
  expect(schema.parse(body)).toEqual(body);
  expect(text).toContain(`"${name}"`);
});
