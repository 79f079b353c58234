import type { WrittenInput } from "./board.js";

export function resetInput(): WrittenInput {
  return {
    nets: "RESET#",
    timing: "{ power-up only: low, at least: 100 ms, levels: CMOS }",
    about: "From a supply supervisor. Clears the ring and the counters; the oscillator must have started by then.",
  };
}
