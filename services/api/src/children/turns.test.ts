import { describe, expect, test } from "vitest";
import { createTurns } from "./turns.ts";

const wanted = () => new AbortController().signal;

/** Work that ends when the test says so, and a note of what was started in which order. */
function handDriven() {
  const started: string[] = [];
  const ends = new Map<string, () => void>();
  const work = (name: string) => () =>
    new Promise<string>((resolve) => {
      started.push(name);
      ends.set(name, () => resolve(name));
    });
  const end = async (name: string) => {
    ends.get(name)?.();
    await new Promise(setImmediate);
  };
  return { started, work, end };
}

describe("turns", () => {
  test("a caller with one question waits for one question of another, not for all of them", async () => {
    const { started, work, end } = handDriven();
    const turns = createTurns({ atOnce: 1, perCaller: 32, waiting: 64 });
    for (let index = 0; index < 32; index++)
      void turns.run({ caller: "many", signal: wanted() }, work(`many ${index}`));
    void turns.run({ caller: "one", signal: wanted() }, work("one"));
    await end("");
    await end("many 0");
    await end("many 1");
    expect(started.slice(0, 3)).toEqual(["many 0", "many 1", "one"]);
  });

  test("a caller over its share is refused, others are not", async () => {
    const { work } = handDriven();
    const turns = createTurns({ atOnce: 1, perCaller: 2, waiting: 64 });
    const ask = (caller: string) => turns.run({ caller, signal: wanted() }, work(caller));
    void ask("a");
    void ask("a");
    await expect(ask("a")).rejects.toMatchObject({ code: "too_many_questions" });
    void ask("b");
    await expect(ask("a")).rejects.toMatchObject({ code: "too_many_questions" });
  });

  test("a question whose caller left before its turn is never started, and its place is free", async () => {
    const { started, work, end } = handDriven();
    const turns = createTurns({ atOnce: 1, perCaller: 2, waiting: 64 });
    void turns.run({ caller: "a", signal: wanted() }, work("first"));
    const left = new AbortController();
    const abandoned = turns.run({ caller: "a", signal: left.signal }, work("abandoned"));
    left.abort();
    await expect(abandoned).rejects.toMatchObject({ code: "cancelled" });
    void turns.run({ caller: "a", signal: wanted() }, work("next"));
    await end("first");
    expect(started).toEqual(["first", "next"]);
  });

  test("when too many wait the next is told that the service is busy, and work that fails gives its turn on", async () => {
    const { work, started, end } = handDriven();
    const turns = createTurns({ atOnce: 1, perCaller: 9, waiting: 1 });
    const failing = turns.run({ caller: "a", signal: wanted() }, () => Promise.reject(new Error("broken")));
    failing.catch(() => undefined);
    void turns.run({ caller: "b", signal: wanted() }, work("b"));
    await expect(turns.run({ caller: "c", signal: wanted() }, work("c"))).rejects.toMatchObject({ code: "busy" });
    await expect(failing).rejects.toThrow("broken");
    await end("");
    expect(started).toEqual(["b"]);
  });
});
