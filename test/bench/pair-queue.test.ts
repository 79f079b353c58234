import { describe, expect, it } from "vitest";
import { PairQueue, type Single } from "../../src/bench/diagnose/pair-queue.js";
import { reachOf } from "../../src/bench/diagnose/reach.js";
import { boardOf } from "../../src/bench/board/board.js";
import { faultsOf } from "../../src/bench/faults/enumerate.js";
import { chaser } from "./chaser.js";

/** Of three measurements, all of them strange: which a fault changes and explains, and which it reaches. */
function single(id: string, explains: number, reaches: number, weight = 1): Single {
  const word = (bits: number) => Uint32Array.of(bits);
  const fault = { id, kind: "missing" as const, edit: {}, text: id, wires: [] };
  return { fault, spots: [id], changes: word(explains), explains: word(explains), reaches: word(reaches), weight };
}

function orderOf(...singles: readonly Single[]): readonly string[] {
  const queue = new PairQueue(singles, Uint32Array.of(0b111), Uint32Array.of(0));
  return queue.next(100).map((pair) => pair.map(({ fault }) => fault.id).join(" "));
}

describe("pairs of faults", () => {
  it("come in the order of how much they explain, then of how common they are", () => {
    const [a, b, c, d] = [
      single("a", 0b011, 0b111),
      single("b", 0b100, 0b111),
      single("c", 0b100, 0b111, 6),
      single("d", 0b001, 0b111, 9),
    ];
    expect(orderOf(a, b, c, d)).toEqual(["a c", "a b", "c d", "a d", "b d", "b c"]);
  });

  it("are left out where a measurement has nothing to do with the one that explains the others badly", () => {
    expect(orderOf(single("a", 0b001, 0b001), single("b", 0b010, 0b010))).toEqual([]);
    // Both reach the third pin: together they may do there what neither does alone.
    expect(orderOf(single("a", 0b001, 0b101), single("b", 0b010, 0b110))).toEqual(["a b"]);
  });
});

describe("what a fault reaches", () => {
  const board = boardOf(chaser());
  const reach = reachOf(board);
  const netsOf = (text: string) => {
    const fault = faultsOf(board).find((one) => one.text === text);
    if (!fault) throw new Error(`no fault '${text}'`);
    return [...reach(fault.edit).nodes].flatMap((node) => board.circuit.nets[node]?.name ?? []).sort();
  };

  it("is what follows its chips, through registers too, and nothing before them", () => {
    expect(netsOf("LATE is held high: a short to the high rail, or a dead output.")).toEqual(
      expect.arrayContaining(["LAMP", "SEEN", "SHARED"]),
    );
    expect(netsOf("BOTH is held low: a short to the low rail, or a dead output.")).not.toContain("Q1");
  });
});
