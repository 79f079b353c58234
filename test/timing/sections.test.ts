import { describe, expect, test } from "vitest";
import { type Behaviour, behaviourOf, behaviours, namesIn } from "../../src/parts/index.js";
import { sectionsOf } from "../../src/timing/sections.js";

function onRecord(name: string): Behaviour {
  const behaviour = behaviourOf(name);
  if (!behaviour) throw new RangeError(`no function ${name}`);
  return behaviour;
}

/** Outputs of each section, as `1Q 1Q#`. */
const outputsOf = (name: string) =>
  sectionsOf(onRecord(name)).map(({ outputs }) => outputs.map(({ pin }) => pin).join(" "));
const pinsOf = (name: string, output: string) =>
  sectionsOf(onRecord(name))
    .find(({ outputs }) => outputs.some(({ pin }) => pin === output))
    ?.pins.map(({ name: pin }) => pin)
    .sort();

/** Names that a behaviour's storage and outputs read. */
function readBy({ storage, outputs }: Behaviour): readonly string[] {
  const expressions = [
    ...storage.flatMap((bit) => [
      bit.next,
      bit.kind === "register" ? bit.clock : bit.open,
      ...bit.overrides.flatMap(({ when, value }) => [when, value]),
    ]),
    ...outputs.flatMap(({ value, enable }) => (enable ? [value, enable] : [value])),
  ];
  return expressions.flatMap((expression) => [...namesIn(expression)]);
}

describe("the independent sections of a chip", () => {
  test("of a quad gate are four gates", () => {
    expect(outputsOf("00")).toEqual(["1Y", "2Y", "3Y", "4Y"]);
    expect(pinsOf("00", "3Y")).toEqual(["3A", "3B", "3Y"]);
  });

  test("of a dual flip-flop are two, each with both of its outputs", () => {
    expect(outputsOf("74")).toEqual(["1Q 1Q#", "2Q 2Q#"]);
    expect(pinsOf("74", "2Q")).toEqual(["2CLK", "2CLR#", "2D", "2PRE#", "2Q", "2Q#"]);
  });

  test("of a register are its bits, each with the clock and the clear that they share", () => {
    expect(outputsOf("174")).toEqual(["1Q", "2Q", "3Q", "4Q", "5Q", "6Q"]);
    for (const bit of [1, 4]) expect(pinsOf("174", `${bit}Q`)).toEqual([`${bit}D`, `${bit}Q`, "CLK", "CLR#"]);
  });

  test("of a buffer are its eight wires, four with each enable", () => {
    expect(outputsOf("244")).toHaveLength(8);
    expect(pinsOf("244", "1Y2")).toEqual(["1A2", "1OE#", "1Y2"]);
    expect(pinsOf("244", "2Y2")).toEqual(["2A2", "2OE#", "2Y2"]);
  });

  test("of a dual counter are two", () => {
    expect(outputsOf("393").map((outputs) => outputs.split(" ").length)).toEqual([4, 4]);
  });

  test("a counter, a shift register, a memory and an oscillator are one each: every bit rests on others", () => {
    for (const name of ["163", "161", "166", "595", "32Kx8", "oscillator"]) expect(outputsOf(name)).toHaveLength(1);
  });

  test("of every function on record hold each output and each bit once, and read nothing of each other", () => {
    for (const behaviour of behaviours) {
      const sections = sectionsOf(behaviour);
      const sorted = (of: (section: Behaviour) => readonly string[]) => sections.flatMap(of).sort();
      expect(sorted(({ outputs }) => outputs.map(({ pin }) => pin))).toEqual(
        behaviour.outputs.map(({ pin }) => pin).sort(),
      );
      expect(sorted(({ storage }) => storage.map(({ name }) => name))).toEqual(
        behaviour.storage.map(({ name }) => name).sort(),
      );
      for (const section of sections) {
        const own = new Set([...section.pins, ...section.storage].map(({ name }) => name));
        expect(readBy(section).filter((name) => !own.has(name))).toEqual([]);
      }
    }
  });

  test("are as small as can be: no section falls into two that share no storage", () => {
    for (const section of behaviours.flatMap(sectionsOf).filter(({ memory }) => !memory)) {
      const bits = new Set(section.storage.map(({ name }) => name));
      // From the first output or bit everything is reached over bits that one reads of the other.
      const pieces = [
        ...section.outputs.map(({ pin, value, enable }) => ({
          name: `output ${pin}`,
          reads: [...namesIn(value), ...(enable ? namesIn(enable) : [])],
        })),
        ...section.storage.map((bit) => ({
          name: bit.name,
          reads: readBy({ ...section, storage: [bit], outputs: [] }),
        })),
      ];
      const reached = new Set(pieces.slice(0, 1).map(({ name }) => name));
      for (let grew = true; grew;) {
        const before = reached.size;
        for (const { name, reads } of pieces) {
          const touched = reads.filter((read) => bits.has(read));
          if (reached.has(name) || touched.some((read) => reached.has(read)))
            for (const one of [name, ...touched]) reached.add(one);
        }
        grew = reached.size > before;
      }
      expect(reached.size).toBe(pieces.length);
    }
  });
});
