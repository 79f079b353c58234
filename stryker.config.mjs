/**
 * Mutation testing of the proof: each mutant changes one expression of `src/timing`, and a test must notice it.
 * `npm run mutants` runs those of `scripts/mutants.mjs`.
 */
export default {
  testRunner: "vitest",
  plugins: ["@stryker-mutator/vitest-runner"],
  vitest: { configFile: "vitest.mutants.config.ts", related: false },
  coverageAnalysis: "perTest",
  // What runs once when a file is read cannot be told apart by test, and is nearly all tables.
  ignoreStatic: true,
  ignorePatterns: ["/dist", "/out", "/.cache", "/docs", "/bench"],
  tempDirName: "out/mutants",
  incremental: true,
  incrementalFile: "out/mutants.json",
  reporters: ["clear-text", "progress-append-only"],
  clearTextReporter: { allowEmojis: false, allowColor: false, reportTests: false, logTests: false },
  // A loop without end must be told from a slow machine.
  timeoutMS: 60_000,
  thresholds: { high: 95, low: 90, break: 85 },
  allowConsoleColors: false,
};
