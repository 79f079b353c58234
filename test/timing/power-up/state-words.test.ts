import { expect, test } from "vitest";
import type { StateBit } from "../../../src/timing/power-up/lane-unit.js";
import { logicView } from "../../../src/timing/power-up/logic-view.js";
import { bitsWords, levelsOf, stateWords } from "../../../src/timing/power-up/state-words.js";
import { buildCircuit, chipOf, known, oscillator } from "../../support/build-circuit.js";

const circuit = buildCircuit({
  chips: {
    X1: [oscillator(100), "OUT=CK"],
    U10: [known("163"), "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA..QD=Q0..Q3"],
    U9: [known("175"), "CLK=CK CLR#=high 1D..4D=high 1Q..4Q=R1..R4"],
  },
});

/** The storage of a chip, its first bit first. */
function bitsOf(ref: string): readonly StateBit[] {
  const { sections } = logicView(circuit, chipOf(circuit, "X1"), "released");
  return sections
    .filter(({ chip }) => chip.ref === ref)
    .flatMap((section) => section.storage.map(({ name }) => ({ section, name, net: undefined })));
}

test("a state is told as a builder says it: a count as a number, other outputs by name, chips in order", () => {
  const [counter, register] = [bitsOf("U10"), bitsOf("U9")];
  const told = (count: number, held: number) => stateWords([...levelsOf(counter, count), ...levelsOf(register, held)]);
  expect(told(13, 0)).toBe("U9 all low, U10 holds 13");
  expect(told(2, 15)).toBe("U9 all high, U10 holds 2");
  expect(told(0, 4)).toBe("U9 3Q high, U10 holds 0");
  expect(told(0, 7)).toBe("U9 1Q, 2Q and 3Q high, U10 holds 0");
});

test("a bit alone is high or low, and bits are named by their outputs", () => {
  const [first, second] = bitsOf("U9");
  if (!first || !second) throw new Error("no bits");
  expect(stateWords([[second, 1]])).toBe("U9 2Q high");
  expect(stateWords([[second, 0]])).toBe("U9 2Q low");
  expect(bitsWords([first, second])).toBe("U9 1Q and 2Q");
});
