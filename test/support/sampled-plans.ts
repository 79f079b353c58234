import { DEFAULT_WISHES, type Plan, SHARING_KINDS, type Wishes, searchPlans } from "../../src/planning/index.js";
import { randomStream } from "../../src/simulation/index.js";

/** Wishes whose fronts together hold plans of every kind: of no wish at all, and of each way of sharing with each content. */
export function wishesOfEveryKind(): readonly Wishes[] {
  const bitmaps = [1, 2, 4, 8].map((depth) => ({ bitsPerDot: [depth] }));
  return [
    DEFAULT_WISHES,
    ...SHARING_KINDS.flatMap((sharing) => [
      ...bitmaps.map(({ bitsPerDot }): Wishes => ({ ...DEFAULT_WISHES, sharing: [sharing], bitsPerDot })),
      ...[40, 80].map((characters): Wishes => ({
        ...DEFAULT_WISHES,
        sharing: [sharing],
        shows: { kind: "text", characters, lines: 25, characterDots: 8 },
      })),
    ]),
    { ...DEFAULT_WISHES, composite: true, bitsPerDot: [1] },
  ];
}

/** So many plans of these wishes' fronts, the same each time, dealt out evenly: one of each front in turn. */
export function samplePlans(wishes: readonly Wishes[], count: number, seed: string): readonly Plan[] {
  const random = randomStream(seed, 1);
  const fronts = wishes.map((one) => [...searchPlans(one).front]);
  const chosen: Plan[] = [];
  for (let turn = 0; chosen.length < count && fronts.some((front) => front.length > 0); turn++) {
    const front = fronts[turn % fronts.length] ?? [];
    chosen.push(...front.splice(Math.floor(random() * front.length), 1));
  }
  return chosen;
}
