import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["test/**/*.test.ts"],
    exclude: ["test/long/**"],
    // Property tests and whole frames take a second or two; on a busy machine several times that.
    testTimeout: 60_000,
  },
});
