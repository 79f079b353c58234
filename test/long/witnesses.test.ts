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
  expect(failing.length).toBeGreaterThan(80);
  expect(open.map(({ name }) => name)).toEqual([]);
});

test.for(["tide-board", "tide-board-wide-fast"])("nearly every margin of %s is that of a board", (name) => {
  const circuit = openBoard(name);
  const proof = prove(circuit);
  const timed = proof.verdicts.filter(({ state, margin }) => state === "holds" && margin !== undefined);
  const witnesses = findWitnesses(circuit, timed, proof);
  const exact = timed.filter((verdict) => witnesses.get(verdict.name)?.isWorst);
  const left = timed.filter((verdict) => !exact.includes(verdict)).map((verdict) => verdict.name);
  console.log(`${name}: ${exact.length} of ${timed.length} margins are a board's; not ${left.join(", ")}`);
  expect(exact.length).toBeGreaterThan(0.98 * timed.length);
});
