import { expect, test } from "vitest";
import { createSlots } from "./slots.ts";

test("one caller gets its share, another still gets a place, none more than there are", () => {
  const slots = createSlots({ total: 3, perCaller: 2 });
  const first = slots.take("a");
  expect(slots.take("a")).toBeDefined();
  expect(slots.take("a")).toBeUndefined();
  expect(slots.take("b")).toBeDefined();
  expect(slots.take("c")).toBeUndefined();
  first?.();
  first?.();
  expect(slots.take("c")).toBeDefined();
  expect(slots.take("d")).toBeUndefined();
});
