import { availableParallelism } from "node:os";
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

const alias = [
  {
    find: /^@fellmark\/([a-z]+)$/,
    replacement: fileURLToPath(new URL("./packages/$1/src/index.ts", import.meta.url)),
  },
];

/** Tests of one package that start processes or servers: they stand beside their source, but not in the fast run. */
const SLOW = ["{packages,services}/*/src/**/*.slow.test.ts"];

export default defineConfig({
  resolve: { alias },
  test: {
    reporters: ["default", "./test/skip-reporter.ts"],
    projects: [
      {
        resolve: { alias },
        test: {
          name: "fast",
          pool: "threads",
          // Tests of one thread share the modules they import: fast tests leave no state behind them.
          isolate: false,
          maxWorkers: availableParallelism(),
          include: [
            "packages/*/src/**/*.test.ts",
            "services/*/src/**/*.test.ts",
            "test/{boundaries,mutate}/**/*.test.ts",
          ],
          exclude: SLOW,
          testTimeout: 20_000,
        },
      },
      {
        resolve: { alias },
        test: {
          name: "system",
          include: [...SLOW, "test/{standards,accuracy,e2e,faults,outside,terrain}/**/*.test.ts"],
          exclude: ["**/dist/**"],
          testTimeout: 120_000,
          hookTimeout: 120_000,
          fileParallelism: false,
        },
      },
    ],
  },
});
