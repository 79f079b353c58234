import { defineConfig } from "vitest/config";

/**
 * The tests of the proof that take a second or two: one of them must notice each mutant. Searches through random circuits are
 * left out, for every mutant that the others miss would run all of them.
 */
export default defineConfig({
  test: {
    include: [
      "test/timing/{time-line,moments,level-set,state-book,compiled-logic,sections,control,feedback}.test.ts",
      "test/timing/{verdict,fights,write-begin,register-chain,address-cycle,half-wired,read-either-way}.test.ts",
    ],
    testTimeout: 120_000,
  },
});
