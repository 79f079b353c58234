import { describe, expect, it } from "vitest";
import { type Behaviour, type Change, arcsOf, behaviourOf, behaviours } from "../../src/parts/index.js";
import { randomNumbers } from "../support/random-bits.js";
import { type Level, zeroDelayChip } from "../support/zero-delay-chip.js";

/** Cases tried a part: one edge at one pin, from a random state. */
const CASES = 2000;

/** Pins and bits up to which so many cases show every move. */
const FEW = 13;
const MANY_CASES = 20_000;

const logic = behaviours.filter(({ memory, clockSource }) => !memory && !clockSource);

function changeOf(before: Level | "Z", after: Level | "Z"): Change | undefined {
  if (before === after) return undefined;
  if (before === "Z") return after === 1 ? "z-to-high" : "z-to-low";
  if (after === "Z") return before === 1 ? "high-to-z" : "low-to-z";
  return after === 1 ? "rise" : "fall";
}

/** Moves seen when one pin changes from a random state: `CLK rise > Q fall`. */
function movesSeen(behaviour: Behaviour, cases: number): ReadonlySet<string> {
  const random = randomNumbers(7);
  const inputs = behaviour.pins.filter(({ role }) => role === "input" || role === "in-out").map(({ name }) => name);
  const outputs = behaviour.pins.filter(({ role }) => role === "output" || role === "in-out").map(({ name }) => name);
  const seen = new Set<string>();
  for (let i = 0; i < cases; i++) {
    // Levels lean one way, so that wide gates see their rare case too.
    const lean = random(8);
    const level = (): Level => (random(8) <= lean ? 1 : 0);
    const levels = Object.fromEntries(inputs.map((pin) => [pin, level()] as const));
    const storage = Object.fromEntries(behaviour.storage.map(({ name }) => [name, level()] as const));
    const chip = zeroDelayChip(behaviour, { levels, storage });
    const before = outputs.map((pin) => chip.drives(pin));
    const pin = inputs[random(inputs.length)] ?? "";
    const edge = levels[pin] === 1 ? "fall" : "rise";
    chip.set({ [pin]: edge === "rise" ? 1 : 0 });
    outputs.forEach((output, n) => {
      const change = changeOf(before[n] ?? "Z", chip.drives(output));
      if (change) seen.add(`${pin} ${edge} > ${output} ${change}`);
    });
  }
  return seen;
}

const movesDerived = (behaviour: Behaviour) =>
  new Set(
    arcsOf(behaviour).flatMap(({ from, to, moves }) =>
      moves.map(({ edge, change }) => `${from} ${edge} > ${to} ${change}`),
    ),
  );

describe("arcs", () => {
  it.each(logic.map((one) => [one.function, one] as const))(
    "of a %s cover every change that one edge at one input can cause",
    (_, behaviour) => {
      const derived = movesDerived(behaviour);
      expect([...movesSeen(behaviour, CASES)].filter((move) => !derived.has(move))).toEqual([]);
    },
  );

  const small = logic.filter(
    ({ pins, storage }) => pins.filter(({ role }) => role !== "output").length - 2 + storage.length <= FEW,
  );

  it.each(small.map((one) => [one.function, one] as const))("of a %s are none too many", (_, behaviour) => {
    const seen = movesSeen(behaviour, MANY_CASES);
    const unseen = [...movesDerived(behaviour)].filter((move) => !seen.has(move));
    expect(unseen).toEqual([]);
  });

  const ways = (number: string) => {
    const behaviour = behaviourOf(number);
    return behaviour && arcsOf(behaviour).map(({ from, to, through }) => `${from} > ${to} ${through}`);
  };

  it("of a 163 lead from the clock to every output and from ENT to the carry", () => {
    expect(ways("163")?.sort()).toEqual(
      [
        "CLK > QA clock",
        "CLK > QB clock",
        "CLK > QC clock",
        "CLK > QD clock",
        "CLK > RCO clock",
        "ENT > RCO value",
      ].sort(),
    );
  });

  it("of a 597 lead from the clock of its input register through the load to the output", () => {
    expect(ways("597")).toContain("RCLK > QH clock");
  });

  it("of a static RAM lead from every address and control pin to every data pin", () => {
    const found = ways("32Kx8") ?? [];
    expect(found).toHaveLength((15 + 3) * 8);
    expect(found).toContain("A14 > IO0 value");
    expect(found).toContain("WE# > IO7 enable");
  });

  it("of an oscillator lead only from its enable", () => {
    expect(ways("oscillator")).toEqual([]);
    expect(ways("oscillator with enable")).toEqual(["OE > OUT enable"]);
  });
});
