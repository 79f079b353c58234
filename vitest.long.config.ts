import { defineConfig } from "vitest/config";

/** Tests that take minutes: wider searches and more random circuits than `npm test` has time for. */
export default defineConfig({
  test: {
    include: ["test/long/**/*.test.ts"],
    testTimeout: 1_200_000,
    passWithNoTests: true,
  },
});
