import { fileURLToPath } from "node:url";

/** A task as thread pools take it: the built module that does it, and its input. */
interface Task {
  module: string;
  input: unknown;
}

/** A thread pool that does every task in the test's own thread, from the sources of the built modules it names. */
export function createInlinePool() {
  const run = async ({ module, input }: Task): Promise<unknown> => {
    const source = fileURLToPath(module).replace("/dist/", "/src/").replace(/\.js$/, ".ts");
    const { runTask } = (await import(/* @vite-ignore */ source)) as { runTask(input: unknown): unknown };
    return runTask(input);
  };
  return {
    size: 1,
    run: async (task: Task): Promise<void> => {
      await run(task);
    },
    runOnAll: async (task: Task): Promise<unknown[]> => [await run(task)],
    collect: async (): Promise<void> => undefined,
    close: async (): Promise<void> => undefined,
  };
}
