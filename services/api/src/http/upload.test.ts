import { once } from "node:events";
import { readdirSync, readFileSync, utimesSync, writeFileSync } from "node:fs";
import { createServer, request as send } from "node:http";
import type { AddressInfo } from "node:net";
import path from "node:path";
import { createTempDir } from "@fellmark/testkit";
import express from "express";
import { afterAll, beforeAll, expect, test } from "vitest";
import { answerProblem } from "./problem.ts";
import { useUpload } from "./upload.ts";

const dir = createTempDir();
const app = express();
app.post("/", async (req, res) => {
  const text = await useUpload(req, { dir: dir.path, maxBytes: 100 }, async (file) => readFileSync(file, "utf8"));
  res.send(text);
});
app.use(answerProblem);
const server = createServer(app);
afterAll(() => {
  server.close();
  dir.remove();
});
beforeAll(async () => {
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
});

/** Posts pieces; without a stated length they go out chunked. */
function post(pieces: string[], headers: Record<string, string> = {}): Promise<number> {
  const { port } = server.address() as AddressInfo;
  return new Promise((resolve, reject) => {
    const sent = send({ port, method: "POST", headers }, (reply) => {
      reply.resume();
      resolve(reply.statusCode ?? 0);
    });
    sent.on("error", reject);
    for (const piece of pieces) sent.write(piece);
    sent.end();
  });
}

test("an upload is a file while the work is done, and no longer", async () => {
  const { port } = server.address() as AddressInfo;
  const reply = await fetch(`http://127.0.0.1:${port}/`, { method: "POST", body: "a,b\n" });
  expect(await reply.text()).toBe("a,b\n");
  expect(readdirSync(dir.path)).toEqual([]);
});

test("one over the limit is refused, whether it says its length or not", async () => {
  expect(await post(["x".repeat(101)], { "Content-Length": "101" })).toBe(413);
  expect(await post(Array(11).fill("x".repeat(10)))).toBe(413);
  expect(readdirSync(dir.path)).toEqual([]);
});

test.each([{}, { "Content-Length": String(200 * 65_536) }, { Connection: "close" }])(
  "one of 13 MB is read to its end and gets its 413, not a reset: %j",
  async (headers: Record<string, string>) => {
    const { port } = server.address() as AddressInfo;
    const sent = send({ port, method: "POST", headers });
    const reply = once(sent, "response");
    const flushed = once(sent, "finish");
    for (let piece = 0; piece < 200; piece++) sent.write("x".repeat(65_536));
    sent.end();
    const [[message]] = await Promise.all([reply, flushed]);
    expect(message.resume().statusCode).toBe(413);
    expect(readdirSync(dir.path)).toEqual([]);
  },
);

test("what a process that died has left goes after an hour", async () => {
  writeFileSync(path.join(dir.path, "old"), "");
  const before = Date.now() / 1000 - 3700;
  utimesSync(path.join(dir.path, "old"), before, before);
  expect(await post(["x"])).toBe(200);
  expect(readdirSync(dir.path)).toEqual([]);
});
