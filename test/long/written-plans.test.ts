import { describe, expect, test } from "vitest";
import { samplePlans, wishesOfEveryKind } from "../support/sampled-plans.js";
import { tryPlan } from "../support/written-plan.js";

const PLANS = 200;

/** What is refused and what falls short is printed, with the reasons. */
describe(`${PLANS} plans of the fronts of every kind of wish`, () => {
  test(
    "are written where nothing stands against it, and prove, are recognised and show their picture",
    { timeout: 6 * 3_600_000 },
    () => {
      const reasons = new Map<string, number>();
      const short: string[] = [];
      let [written, proved, shown] = [0, 0, 0];
      for (const plan of samplePlans(wishesOfEveryKind(), PLANS, "plans")) {
        const { refused, text, mistakes, unproved, unlike } = tryPlan(plan, { proof: true, picture: true });
        if (text === "") {
          const reason = refused.join("; ").replace(/[\d.]+ ns/g, "so many ns");
          reasons.set(reason, (reasons.get(reason) ?? 0) + 1);
          continue;
        }
        expect(mistakes).toEqual([]);
        written++;
        if (unproved.length === 0) proved++;
        if (unlike.length === 0) shown++;
        if (unproved.length + unlike.length > 0) {
          const what = [...unproved.slice(0, 3), ...unlike].join(", ");
          short.push(`${plan.sharing}, ${plan.family}, ${plan.oscillator.numerator} Hz / ${plan.divider}: ${what}`);
        }
      }
      const refusals = [...reasons].sort((a, b) => b[1] - a[1]).map(([reason, count]) => `${count} refused: ${reason}`);
      process.stdout.write(
        [`${written} written, ${proved} proved, ${shown} shown`, ...refusals, ...short, ""].join("\n"),
      );
      expect(shown).toBe(written);
      expect(written).toBe(PLANS);
      expect(proved).toBe(written);
    },
  );
});
