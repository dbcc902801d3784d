import { EventEmitter } from "node:events";
import { PassThrough } from "node:stream";
import { expect, test } from "vitest";
import { watchLines } from "./line-watch.ts";
import { waitForEvent } from "./wait-for-event.ts";

test("a line is found whether it came before or comes after the call", async () => {
  const stream = new PassThrough();
  const watch = watchLines(stream);
  stream.write("port 80\nread");
  expect((await watch.waitFor(/port (\d+)/))[1]).toBe("80");
  const ready = watch.waitFor(/^ready$/);
  stream.write("y\n");
  await ready;
  expect((await watch.waitFor(/port (\d+)/))[1]).toBe("80");
});

test("the end of the output rejects with what was said", async () => {
  const stream = new PassThrough();
  const watch = watchLines(stream);
  const ready = watch.waitFor(/ready/);
  stream.end("out of memory\n");
  await expect(ready).rejects.toThrow(/out of memory/);
  await expect(watch.waitFor(/ready/)).rejects.toThrow(/before the end/);
});

test("an event is awaited until one fits", async () => {
  const emitter = new EventEmitter();
  const half = waitForEvent<number>(emitter, "progress", (progress) => progress >= 0.5);
  emitter.emit("progress", 0.1);
  emitter.emit("progress", 0.7);
  expect(await half).toBe(0.7);
  await expect(waitForEvent(emitter, "never", undefined, 1)).rejects.toThrow(/no "never" within 1 ms/);
});
