import { expect, test } from "vitest";
import type { OutsideState } from "../../src/timing/state.js";
import { StateBook } from "../../src/timing/state-book.js";

/** A signal that rose three oscillator periods ago and remembers that for so long. */
function risen(riseMatters: number): OutsideState {
  const wave = { kind: "wave", level: 2, regions: [], members: [], keeps: 24 } as const;
  const memory = { rose: -3, fell: -40, riseMatters, fallMatters: 40 };
  return { kind: "outside", wave: { ...wave, regions: [], members: [] }, ...memory, step: 4, phase: 3 };
}

test("of two signals that rose together, the one that must wait longer before it rises again remembers it longer", () => {
  const book = new StateBook(24, (coming) => coming);
  const roseAfter = (riseMatters: number, ticks: number) => {
    let id = book.id(risen(riseMatters));
    for (let tick = 0; tick < ticks; tick++) id = book.next(id);
    const state = book.state(id);
    return state.kind === "outside" ? state.rose : undefined;
  };
  expect(roseAfter(20, 60)).toBe(-20);
  expect(roseAfter(50, 60)).toBe(-50);
});
