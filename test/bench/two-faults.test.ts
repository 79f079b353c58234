import { describe, expect, it } from "vitest";
import {
  type Fault,
  Suspicion,
  bothEdits,
  faultBenchOf,
  observationOf,
  searchPairs,
  simulateEdits,
} from "../../src/bench/index.js";
import { spotsOf } from "../../src/bench/faults/spots.js";
import { randomNumbers } from "../support/random-bits.js";
import { chaser } from "./chaser.js";

const bench = faultBenchOf(chaser());
const { board, faults } = bench;
const suspicion = new Suspicion(
  bench,
  simulateEdits(
    bench,
    faults.map(({ edit }) => edit),
  ),
);

/** Boards with two wires missing, in wrong pins, swapped or touching, of which every output in use is measured. */
function randomPairs(count: number) {
  const numbers = randomNumbers(11);
  const wiring = faults.filter(({ kind }) => kind === "missing" || kind === "misplaced" || kind === "short");
  const drawn = Array.from({ length: count }, () => [wiring[numbers(wiring.length)], wiring[numbers(wiring.length)]]);
  return drawn.flatMap(([one, other]): (readonly [Fault, Fault])[] => {
    if (!one || !other) return [];
    const own = spotsOf(board, one);
    return spotsOf(board, other).some((spot) => own.includes(spot)) ? [] : [[one, other]];
  });
}

describe("two faults at once", () => {
  it("are found where no single fault explains what was measured", () => {
    const drawn = randomPairs(40);
    const together = drawn.map(([one, other]): Fault => ({
      id: `${one.id} ${other.id}`,
      kind: one.kind,
      edit: bothEdits(one.edit, other.edit),
      wires: [],
      text: "",
    }));
    const signatures = simulateEdits(
      bench,
      together.map(({ edit }) => edit),
    );
    const real = new Suspicion(bench, signatures, together);
    const pins = suspicion.pins.filter(({ node }) => suspicion.isInUse(node));
    const isSamePlace = (one: Fault, other: Fault) =>
      spotsOf(board, one).some((spot) => spotsOf(board, other).includes(spot));
    let [tried, explained, right] = [0, 0, 0];
    drawn.forEach((pair, index) => {
      const observations = pins.map(({ id }) => observationOf(id, real.readingsAt(index, id)[0]));
      if (signatures[index]?.isShorted || suspicion.isExplained(observations) || tried >= 10) return;
      tried++;
      let steps = 0;
      for (const { found } of searchPairs(bench, suspicion, observations)) {
        const isRight = found.some(({ faults: own }) =>
          pair.every((fault) => own.some((one) => isSamePlace(one, fault))),
        );
        if (isRight) right++;
        if (isRight || ++steps >= 24) {
          if (found.length > 0) explained++;
          break;
        }
      }
    });
    console.log(`${tried} pairs tried: ${explained} explained, ${right} found where they are`);
    expect(tried).toBeGreaterThanOrEqual(8);
    expect(right / tried).toBeGreaterThanOrEqual(0.8);
  });
});
