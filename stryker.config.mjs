/**
 * Mutation testing of the proof: each mutant changes one expression of `src/timing`, and a test must notice it.
 * `npm run mutants` runs those of `scripts/mutants.mjs`.
 */
export default {
  testRunner: "vitest",
  plugins: [
    "@stryker-mutator/vitest-runner",
    "@stryker-mutator/typescript-checker",
    "./scripts/mutants/chosen-checker.mjs",
  ],
  // What the types refuse is no mistake that could be made.
  checkers: ["chosen", "typescript"],
  tsconfigFile: "tsconfig.mutants.json",
  vitest: { configFile: "vitest.mutants.config.ts", related: false },
  coverageAnalysis: "perTest",
  ignorePatterns: ["/dist", "/out", "/.cache", "/docs", "/bench"],
  tempDirName: "out/mutants",
  reporters: ["json", "progress-append-only"],
  jsonReporter: { fileName: "out/mutants.json" },
  // What runs once when a file is read cannot be told apart by test, and is nearly all tables.
  ignoreStatic: true,
  // A loop without end must be told from a slow machine.
  timeoutMS: 60_000,
  timeoutFactor: 2,
  allowConsoleColors: false,
};
