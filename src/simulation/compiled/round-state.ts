import type { Columns } from "./columns.js";
import type { Packing } from "./round-code.js";
import { Plane } from "./signal-store.js";
import type { Store } from "./store.js";
import { FunctionCode } from "./wasm-writer.js";

/**
 * `enter()`: packs the storage bits that rounds keep in words from the store. `leave(start)`: puts them back, and with them the
 * bits that run on their own, as the words at the address `start` have them.
 */
export function roundStateCode(store: Store, columns: Columns, state: Packing, stateAt: number) {
  const enter = new FunctionCode(0);
  const words = Array.from({ length: state.words }, (): number[] => []);
  for (const [signal, { word, index }] of state.places) (words[word] ?? [])[index] = signal;
  words.forEach((signals, word) => {
    enter.constant(0);
    signals.forEach((signal, index) => {
      enter.constant(0).load(8, store.place(signal, Plane.value));
      if (index > 0) enter.constant(index).do("shiftLeft").do("or");
    });
    if (signals.length === 0) enter.constant(0);
    enter.store(32, stateAt + 4 * word);
  });
  enter.constant(0);

  const leave = new FunctionCode(1);
  const held = leave.local();
  const put = (signal: number, index: number) => {
    leave.constant(0).get(held);
    if (index > 0) leave.constant(index).do("shiftRight");
    leave.constant(1).do("and").store(8, store.place(signal, Plane.value));
  };
  words.forEach((signals, word) => {
    leave
      .constant(0)
      .load(32, stateAt + 4 * word)
      .set(held);
    signals.forEach(put);
  });
  const { bits } = columns.orbit;
  for (let word = 0; 32 * word < bits.length; word++) {
    leave
      .get(0)
      .load(32, 4 * word)
      .set(held);
    bits.slice(32 * word, 32 * word + 32).forEach(put);
  }
  leave.constant(0);
  return { enter, leave };
}

/** The words of all bits that run on their own, as they are at the begin of each round. */
export function startsOf({ orbit, edges, rounds }: Columns): Uint32Array {
  const { levels, words } = orbit;
  const starts = new Uint32Array(rounds * words);
  for (let round = 0; round < rounds; round++) {
    const edge = (round === 0 ? rounds : round) * edges - 1;
    for (let word = 0; word < words; word++) starts[round * words + word] = levels[edge * words + word] ?? 0;
  }
  return starts;
}
