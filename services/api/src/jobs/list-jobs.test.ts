import { createTempDir } from "@fellmark/testkit";
import request from "supertest";
import { afterAll, expect, test } from "vitest";
import { requestExample } from "../openapi/request-example.ts";
import { createFakeService } from "../testing/fakes.ts";
import { jobListSchema } from "./list-jobs.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

async function serviceWithJobs(count: number) {
  const service = createFakeService(dir.path);
  const ids: string[] = [];
  for (let index = 0; index < count; index++) {
    const { body } = await request(service.app)
      .post("/v1/coverages")
      .send({ ...requestExample, name: `map ${index}` });
    ids.unshift(body.id);
  }
  return { ...service, ids };
}

test("jobs are listed newest first, a page at a time, with what tells them apart", async () => {
  const { app, ids } = await serviceWithJobs(3);
  const first = await request(app).get("/v1/coverages?limit=2").expect(200);
  expect(jobListSchema.parse(first.body)).toEqual(first.body);
  expect(first.body.jobs.map(({ id }: { id: string }) => id)).toEqual(ids.slice(0, 2));
  expect(first.body.jobs[0]).toMatchObject({ name: "map 2", state: "queued", pinned: false });
  expect(first.body.jobs[0]).not.toHaveProperty("token");
  const rest = await request(app).get("/v1/coverages").query({ limit: 2, after: first.body.next }).expect(200);
  expect(rest.body.jobs.map(({ id }: { id: string }) => id)).toEqual(ids.slice(2));
  expect(rest.body.next).toBeNull();
});

test("states are chosen by name, other kinds have lists of their own", async () => {
  const { app, ids, ledger } = await serviceWithJobs(2);
  ledger.set(ids[0] ?? "", { state: "done", files: [] });
  const done = await request(app).get("/v1/coverages?state=done,failed").expect(200);
  expect(done.body.jobs.map(({ id }: { id: string }) => id)).toEqual([ids[0]]);
  await request(app).get("/v1/comparisons").expect(200, { jobs: [], next: null });
});

test.each([
  ["state=ready", "/state"],
  ["limit=0", "/limit"],
  ["limit=1001", "/limit"],
  ["from=yesterday", "/from"],
  ["colour=red", "/colour"],
])("?%s is refused at %s", async (query, pointer) => {
  const { body } = await request(createFakeService(dir.path).app).get(`/v1/coverages?${query}`).expect(422);
  expect(body.errors[0].pointer).toBe(pointer);
});

test("a job is pinned and given free", async () => {
  const { app, ids } = await serviceWithJobs(1);
  const path = `/v1/coverages/${ids[0]}/pin`;
  expect((await request(app).put(path).expect(200)).body).toMatchObject({ id: ids[0], pinned: true });
  expect((await request(app).delete(path).expect(200)).body).toMatchObject({ pinned: false });
  await request(app).put(`/v1/comparisons/${ids[0]}/pin`).expect(404);
});

test("a result that was removed to free space is gone, and says that a retry computes it again", async () => {
  const { app, ids, ledger } = await serviceWithJobs(1);
  ledger.set(ids[0] ?? "", { state: "expired", files: null });
  const { body } = await request(app).get(`/v1/coverages/${ids[0]}/summary`).expect(410);
  expect(body).toMatchObject({ code: "expired", detail: expect.stringContaining("retry") });
});
