import { defineConfig } from "vitest/config";
import { BaseSequencer, type TestSpecification } from "vitest/node";

/**
 * The tests that must notice each mutant of the proof, by the time they take: the first that fails ends a mutant's run, and what
 * one survives is all run. First come those that notice most: they hold many small circuits against tables that simulation and a
 * solver made.
 */
const NAMES = `
  timing/demand-words timing/why-not-proved timing/what-is-not-seen timing/power-up/fates-from-start timing/margins-on-boards timing/whole-accounts
  timing/level-set timing/moments timing/numbered-once timing/state-book timing/read-either-way timing/overlapping-changes
  timing/power-up/flush timing/power-up/resting-delay timing/power-up/state-words timing/control timing/write-begin timing/driven-from-outside timing/verdict-groups
  timing/gated-clock timing/sections timing/serial-loader timing/fights timing/steady-around timing/input-order
  timing/power-up/textbook timing/held-for-long timing/half-wired timing/stopping timing/compiled-logic
  timing/register-chain timing/verdict-account timing/read-only-memory timing/mean-time timing/crossings timing/verdict
  timing/enabled-register timing/feedback timing/self-ending timing/processor-bus timing/address-cycle
  timing/synchroniser timing/power-up/verdicts timing/time-line timing/common-practice timing/any-time
  timing/worked-timing timing/deciding timing/reading-tree timing/undriven timing/work-done-once timing/like-bits`;
const FILES = NAMES.trim()
  .split(/\s+/)
  .map((name) => `test/${name}.test.ts`);

/** In the order of the list. */
class ByTime extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification) => FILES.findIndex((file) => moduleId.endsWith(file));
    return [...files].sort((a, b) => place(a) - place(b));
  }
}

export default defineConfig({
  test: {
    include: FILES,
    setupFiles: "test/support/fixed-seed.ts",
    sequence: { sequencer: ByTime },
    isolate: false,
    testTimeout: 120_000,
  },
});
