import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

const alias = [
  {
    find: /^@fellmark\/([a-z]+)$/,
    replacement: fileURLToPath(new URL("./packages/$1/src/index.ts", import.meta.url)),
  },
];

export default defineConfig({
  resolve: { alias },
  test: {
    reporters: ["default", "./test/skip-reporter.ts"],
    projects: [
      {
        resolve: { alias },
        test: {
          name: "fast",
          include: ["packages/*/src/**/*.test.ts", "services/*/src/**/*.test.ts", "test/boundaries/**/*.test.ts"],
          testTimeout: 20_000,
        },
      },
      {
        resolve: { alias },
        test: {
          name: "system",
          include: ["test/{standards,accuracy,e2e,faults,outside,terrain}/**/*.test.ts"],
          exclude: ["**/dist/**"],
          testTimeout: 120_000,
          hookTimeout: 120_000,
          fileParallelism: false,
        },
      },
    ],
  },
});
