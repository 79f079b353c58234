import { availableParallelism } from "node:os";
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    // Property tests and whole frames take a second or two; on a busy machine several times that.
    testTimeout: 60_000,
    setupFiles: "test/support/fixed-seed.ts",
    // Vitest leaves one core free, which on two cores is half of them.
    maxWorkers: availableParallelism(),
    projects: [
      {
        extends: true,
        test: {
          name: "all but the desk",
          include: ["test/**/*.test.ts"],
          exclude: ["test/long/**", "test/desk/**"],
          // The catalogue and the engines are read once for each core, not once for each of over 200 files.
          isolate: false,
        },
      },
      {
        extends: true,
        test: {
          name: "desk",
          include: ["test/desk/**/*.test.ts"],
          globalSetup: "test/desk/browser-setup.ts",
          // A browser that draws whole boards while other tests run needs its time on a busy machine.
          testTimeout: 180_000,
          hookTimeout: 60_000,
        },
      },
    ],
  },
});
