import type { PairSearch } from "../bench/index.js";
import type { Progress } from "../judging/index.js";

/** Seconds for which two faults at once are tried where nobody says otherwise. */
const USUAL_SECONDS = 30;
const PAIRS_LISTED = 5;

/** Tries two faults at once until time is up or there are as many as are listed. */
export async function pairsWithin(
  seconds = USUAL_SECONDS,
  search: Generator<PairSearch, void>,
  progress: Progress,
): Promise<PairSearch | undefined> {
  return progress.during("trying two faults at once", async (tell) => {
    const start = performance.now();
    let last: PairSearch | undefined;
    for (;;) {
      const passed = (performance.now() - start) / 1000;
      if (passed >= seconds || (last && last.found.length >= PAIRS_LISTED)) return last;
      const { value } = search.next();
      if (!value) return last;
      last = value;
      tell(Math.min(seconds, passed), seconds);
      // Lets the progress be shown.
      await new Promise((resolve) => setImmediate(resolve));
    }
  });
}

/** What came of it, for people. */
export function pairLines(pairs: PairSearch | undefined): string[] {
  if (!pairs) return ["Two faults at once were not tried; --seconds says how long to try them."];
  const { tried, total, found } = pairs;
  if (found.length === 0) return [`None of the ${tried} likeliest of ${total} pairs of faults explains it either.`];
  return [
    `Of the ${tried} likeliest pairs of faults these explain it, the likeliest first:`,
    ...found.slice(0, PAIRS_LISTED).flatMap(({ faults: [one, other] }) => [`  - ${one.text}`, `    ${other.text}`]),
  ];
}
