import { describe, expect, test } from "vitest";
import { judgeElectrical, underLoad } from "../../src/electrical/index.js";
import { prove } from "../../src/timing/index.js";
import { openBoard } from "../examples/board.js";

/** Boards that began as a written design: every verdict of all engines holds, none is open. */
describe.each(["order-board", "star-board", "garden-board", "bowling-board", "lap-board"])("%s", (name) => {
  const circuit = openBoard(name);

  test("holds in every timing rule at every place", () => {
    const { verdicts } = prove(underLoad(circuit));
    expect(verdicts.length).toBeGreaterThan(50);
    expect(verdicts.filter(({ state }) => state !== "holds").map((one) => one.name)).toEqual([]);
  });

  test("holds in every electrical rule", () => {
    const { verdicts } = judgeElectrical(circuit);
    expect(verdicts.filter(({ state }) => state !== "holds").map((one) => one.name)).toEqual([]);
  });
});
