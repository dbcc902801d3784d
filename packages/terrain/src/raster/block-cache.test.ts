import { expect, test } from "vitest";
import { createBlockCache } from "./block-cache.ts";

const block = (value: number, length = 4) => new Float32Array(length).fill(value);

test("the block that was asked for least recently is dropped", () => {
  const cache = createBlockCache(2 * 16);
  cache.set("a", block(1));
  cache.set("b", block(2));
  cache.get("a");
  cache.set("c", block(3));
  expect([cache.get("a")?.[0], cache.get("b"), cache.get("c")?.[0]]).toEqual([1, undefined, 3]);
});

test("a block that two readers decoded at once counts once", () => {
  const cache = createBlockCache(2 * 16);
  for (let time = 0; time < 10; time++) cache.set("a", block(1));
  cache.set("b", block(2));
  expect([cache.get("a")?.[0], cache.get("b")?.[0]]).toEqual([1, 2]);
});

test("the memory of a dropped block is used again, once, for one of its length", () => {
  const cache = createBlockCache(16);
  const first = block(1);
  cache.set("a", first);
  cache.set("b", block(2));
  expect(cache.allocate(5)).toHaveLength(5);
  expect(cache.allocate(4)).toBe(first);
  expect(cache.allocate(4)).not.toBe(first);
});
