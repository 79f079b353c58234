/** What a proof has cost, by what was worked out and what was known already. */
export interface Work {
  /** Steps of one component through one oscillator period that were worked out: each a situation. */
  situations: number;
  /** What a section or a shared net does when something happens at an input: worked out, and looked up. */
  reactionsFound: number;
  reactionsKnown: number;
  /** Differences of two chains of delays, exact to the femtosecond: worked out, and looked up. */
  differencesFound: number;
  differencesKnown: number;
  /** Milliseconds; 0 without a clock. */
  readonly time: Record<Phase, number>;
}

/**
 * The phases of a proof: building the model, working out the situations, finding which of them come when, judging joined
 * changes again, power-up, and making the verdicts.
 */
export type Phase = "model" | "situations" | "following" | "refining" | "power-up" | "verdicts";

/** Milliseconds since some moment. */
export type Clock = () => number;

export function noWork(): Work {
  const time = { model: 0, situations: 0, following: 0, refining: 0, "power-up": 0, verdicts: 0 };
  return { situations: 0, reactionsFound: 0, reactionsKnown: 0, differencesFound: 0, differencesKnown: 0, time };
}

/** Does something and adds the time that it takes to a phase. */
export function timed<T>(work: Work, clock: Clock | undefined, phase: Phase, act: () => T): T {
  const began = clock?.() ?? 0;
  try {
    return act();
  } finally {
    if (clock) work.time[phase] += clock() - began;
  }
}
