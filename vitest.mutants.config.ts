import { defineConfig } from "vitest/config";
import { BaseSequencer, type TestSpecification } from "vitest/node";

/**
 * The tests that must notice each mutant of the proof, by the time they take: the first that fails ends a mutant's run, and what
 * one survives is all run. Minutes of random circuits are left out.
 */
const FILES = [
  ..."level-set moments state-book read-either-way overlapping-changes power-up/flush control write-begin".split(" "),
  ..."driven-from-outside verdict-groups gated-clock sections serial-loader fights steady-around input-order".split(
    " ",
  ),
  ..."power-up/textbook address-cycle held-for-long half-wired stopping compiled-logic register-chain".split(" "),
  ..."verdict-account read-only-memory mean-time crossings verdict enabled-register feedback self-ending".split(" "),
  ..."processor-bus synchroniser power-up/verdicts time-line common-practice any-time worked-timing".split(" "),
].map((name) => `test/timing/${name}.test.ts`);

/** In the order of the list. */
class ByTime extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification) => FILES.findIndex((file) => moduleId.endsWith(file));
    return files.toSorted((a, b) => place(a) - place(b));
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
