import { type DecisionRoot, FIRST_NODE, decide } from "./decision.js";
import { HIGH, LOW, MARK_SHIFT, VALUE } from "./value.js";

/**
 * Where a value came from. Every bit that a memory gives out can carry a mark of its own; this is the rule by which marks go
 * through chips: an answer takes the mark of the one variable that, turned over by itself, would turn the answer over. So a
 * mark goes through registers, buffers, selectors and gates that are open to it, and ends where two marked values decide
 * together or where none does.
 */
export function markOfAnswer(
  root: DecisionRoot,
  answer: number,
  variable: Int32Array,
  next: Int32Array,
  words: Int32Array,
): number {
  let mark = 0;
  let node = root;
  while (node >= FIRST_NODE) {
    const word = words[variable[node] as number] as number;
    const value = word & VALUE;
    if (value > HIGH) return 0;
    const own = word >> MARK_SHIFT;
    if (own !== 0 && own !== mark) {
      const other = decide(next[4 * node + (value === LOW ? HIGH : LOW)] as number, variable, next, words);
      if (other !== answer) {
        if (mark !== 0) return 0;
        mark = own;
      }
    }
    node = next[4 * node + value] as number;
  }
  return mark;
}
