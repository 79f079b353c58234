import { expect, test } from "vitest";
import { findWitnesses, marginOf, settle } from "../../src/evidence/index.js";
import { prove } from "../../src/timing/index.js";
import { openBoard } from "../examples/board.js";
import { outsideLimits } from "../support/within-limits.js";

/** Boards on which the bundled circuits fail, and how many proved margins a board has exactly. */

test("every failure of the tide board with 640 dots happens on a board within all limits", () => {
  const circuit = openBoard("tide-board-wide");
  const { proof, witnesses } = settle(circuit, prove(circuit));
  const failing = proof.verdicts.filter(({ state }) => state === "fails");
  expect(failing.length).toBeGreaterThan(100);
  expect(proof.verdicts.filter(({ state }) => state === "not settled")).toEqual([]);
  const unseen = failing.filter((verdict) => {
    const witness = witnesses.get(verdict.name);
    const margin = witness && marginOf(witness, verdict);
    return !witness || margin === undefined || margin >= 0 || outsideLimits(circuit, witness.scene).length > 0;
  });
  expect(unseen.map(({ name }) => name)).toEqual([]);
  const exact = failing.filter(({ name }) => witnesses.get(name)?.isWorst).length;
  console.log(`tide-board-wide: ${failing.length} failures shown, ${exact} at exactly the proved margin`);
  expect(exact).toBeGreaterThan(0.85 * failing.length);
});

test("every failure of the tide board with the serial loader happens on a board", () => {
  const circuit = openBoard("tide-board-loader");
  const { proof } = settle(circuit, prove(circuit));
  const failing = proof.verdicts.filter(({ state }) => state === "fails");
  const open = proof.verdicts.filter(({ state }) => state === "not settled");
  console.log(
    `tide-board-loader: ${failing.length} failures shown; not settled: ${open.map(({ name }) => name).join(", ")}`,
  );
  expect(failing.length).toBeGreaterThan(65);
  expect(open.map(({ name }) => name)).toEqual([]);
});

/** Each with the margins that no board was found to have. */
const HOLDING = {
  "tide-board": [],
  "tide-board-wide-fast": [],
  "star-board": [],
  "garden-board": [],
  "bowling-board": [],
  // Of the one line of a frame at which it comes, no board shows the two addresses that differ in this bit.
  "order-board": ["tRC U29 A10"],
};

test.for(Object.entries(HOLDING))("every margin of %s is that of a board", ([name, known]) => {
  const circuit = openBoard(name);
  const proof = prove(circuit);
  const timed = proof.verdicts.filter(({ state, margin }) => state === "holds" && margin !== undefined);
  const witnesses = findWitnesses(circuit, timed, proof);
  const left = timed.filter((verdict) => !witnesses.get(verdict.name)?.isWorst);
  console.log(`${name}: ${timed.length - left.length} of ${timed.length} margins are a board's`);
  expect(timed.length).toBeGreaterThan(300);
  expect(left.map((verdict) => verdict.name)).toEqual(known);
});
