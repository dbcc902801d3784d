import type { Reporter, TestCase, TestModule, Vitest } from "vitest/node";

/** Names at the end of a run what was skipped; the titles say what it would have needed. For vitest's `reporters`. */
export default class SkipReporter implements Reporter {
  #vitest: Vitest | undefined;

  onInit(vitest: Vitest): void {
    this.#vitest = vitest;
  }

  onTestRunEnd(modules: readonly TestModule[]): void {
    const counts = new Map<string, number>();
    for (const module of modules) {
      for (const test of module.children.allTests("skipped")) {
        const title = `${module.relativeModuleId}: ${titleOf(test)}`;
        counts.set(title, (counts.get(title) ?? 0) + 1);
      }
    }
    for (const [title, count] of counts) this.#vitest?.logger.log(`  skipped ${count} of ${title}`);
  }
}

/** The title of the group that a test stands in, or its own. */
function titleOf(test: TestCase): string {
  return test.parent.type === "suite" ? test.parent.fullName : test.name;
}
