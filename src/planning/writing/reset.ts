import type { WrittenInput } from "./board.js";
import type { FamilyParts } from "./families.js";

export function resetInput(): WrittenInput {
  return {
    nets: "RESET#",
    timing: "{ power-up only: low, at least: 100 ms, levels: CMOS }",
    about: "From a supply supervisor. Clears the ring and the counters; the oscillator must have started by then.",
  };
}

/** The reset's second stage in one half of a chip with two flip-flops: cleared by RESET# itself, let go in step with DOT. */
export function resetStage(half: 1 | 2, { resetOutput }: FamilyParts): Record<string, string> {
  return {
    [`${half}CLK`]: "DOT",
    [`${half}D`]: "RESET_SAMPLED#",
    [`${half}CLR#`]: "RESET#",
    [`${half}PRE#`]: "high",
    [`${half}${resetOutput === "RING_RESET#" ? "Q" : "Q#"}`]: resetOutput,
  };
}
