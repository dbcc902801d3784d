import { createTempDir } from "@fellmark/testkit";
import request from "supertest";
import { afterAll, expect, test } from "vitest";
import { createFakeService } from "../testing/fakes.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

test("the page at / links to what is here, and its policy allows neither script nor anything from elsewhere", async () => {
  const { app } = createFakeService(dir.path);
  const { text, headers } = await request(app)
    .get("/")
    .expect(200)
    .expect("Content-Type", /^text\/html/);
  const policy = headers["content-security-policy"] ?? "";
  expect(policy).toContain("default-src 'none'");
  expect(policy).not.toMatch(/script-src|unsafe|https?:|\*/);
  expect(text).not.toMatch(/<script|https?:/);
  const paths = [...text.matchAll(/<a href="([^"]+)"/g)].map(([, path]) => path ?? "");
  expect(paths).toContain("/docs");
  for (const path of paths) {
    const { status, body } = await request(app).get(path);
    // Before the first network is put there is none: that is said, and is not the answer to an unknown endpoint.
    if (status !== 200)
      expect([path, status, body.detail]).not.toEqual([path, 404, expect.stringContaining("endpoint")]);
  }
});
