import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import {
  type Behaviour,
  type Expression,
  behaviourOf,
  behaviours,
  memoryPorts,
  namesIn,
  packageOf,
  packagesOf,
  pinNamed,
  pinsNamed,
} from "../../../src/parts/index.js";
import { define, expandRange, register } from "../../../src/parts/behaviours/define.js";

const each = behaviours.map((behaviour) => [behaviour.function, behaviour] as const);

function expressionsOf(behaviour: Behaviour): readonly Expression[] {
  return [
    ...behaviour.storage.flatMap((bit) => [
      bit.next,
      bit.kind === "register" ? bit.clock : bit.open,
      ...bit.overrides.flatMap(({ when, value }) => [when, value]),
    ]),
    ...behaviour.outputs.flatMap(({ value, enable }) => (enable ? [value, enable] : [value])),
    ...memoryPorts(behaviour).flatMap(({ read, write }) => (write ? [read, write] : [read])),
  ];
}

describe("every behaviour", () => {
  it("stands once, under its function", () => {
    expect(new Set(behaviours.map((one) => one.function)).size).toBe(behaviours.length);
    for (const [name, behaviour] of each) expect(behaviourOf(name)).toBe(behaviour);
    expect(behaviourOf("no such function")).toBeUndefined();
  });

  it.each(each)("of a %s reads only its input pins and storage bits, and uses all of them", (_, behaviour) => {
    const read = new Set([
      ...expressionsOf(behaviour).flatMap(namesIn),
      ...memoryPorts(behaviour).flatMap(({ address, data, write }) => (write ? [...address, ...data] : address)),
      ...(behaviour.clockSource?.enable ? namesIn(behaviour.clockSource.enable) : []),
    ]);
    const readable = behaviour.pins.filter(({ role }) => role === "input" || role === "in-out").map(({ name }) => name);
    const names = [...readable, ...behaviour.storage.map(({ name }) => name)].filter((name) => name !== "VPP");
    expect([...read].sort()).toEqual(names.sort());
  });

  it.each(each)("of a %s has exactly one rule for every pin that drives", (_, behaviour) => {
    const ruled = [
      ...behaviour.outputs.map(({ pin }) => pin),
      ...memoryPorts(behaviour).flatMap(({ data }) => data),
      ...(behaviour.clockSource ? [behaviour.clockSource.pin] : []),
    ];
    const driving = behaviour.pins.filter(({ role }) => role === "output" || role === "in-out").map(({ name }) => name);
    expect([...ruled, ...behaviour.undescribed].sort()).toEqual(driving.sort());
  });

  it.each(each)("of a %s has the pins of its packages, numbered without gaps or doubles", (name, behaviour) => {
    expect(packagesOf(name).length).toBeGreaterThan(0);
    for (const { name: outline, pins, source } of packagesOf(name)) {
      expect([...new Set(pins.map((pin) => pin.name))].sort()).toEqual(behaviour.pins.map((pin) => pin.name).sort());
      const places = Number(/\d+$/.exec(outline.replace(/ can$|-\d00$/, ""))?.[0]);
      const corners = [1, places / 2, places / 2 + 1, places];
      const expected = outline.endsWith("can") ? corners : Array.from({ length: places }, (_, i) => i + 1);
      expect(pins.map((pin) => pin.number)).toEqual(expected);
      expect(source.publisher).not.toBe("");
    }
  });

  it.each(each)("of a %s has each pin once, and aliases that lead to a pin or a group", (_, behaviour) => {
    const names = behaviour.pins.map(({ name }) => name);
    expect(new Set(names).size).toBe(names.length);
    const aliases = Object.keys(behaviour.aliases);
    expect(aliases.filter((alias) => pinsNamed(behaviour, alias).length === 0)).toEqual([]);
    expect(aliases.filter((alias) => names.includes(alias))).toEqual([]);
  });
});

describe("pin names", () => {
  const named = (number: string, name: string) => {
    const behaviour = behaviourOf(number);
    return behaviour && pinNamed(behaviour, name)?.name;
  };
  const group = (number: string, name: string) => {
    const behaviour = behaviourOf(number);
    return behaviour && pinsNamed(behaviour, name).map((pin) => pin.name);
  };

  it.each([
    ["163", "CP", "CLK", "Texas Instruments SCHS154D"],
    ["163", "SPE#", "LOAD#", "Texas Instruments SCHS154D"],
    ["163", "PE", "ENP", "Texas Instruments SCHS154D"],
    ["161", "PE#", "LOAD#", "Nexperia 74HC161"],
    ["161", "CEP", "ENP", "Nexperia 74HC161"],
    ["161", "TC", "RCO", "Nexperia 74HC161"],
    ["166", "CLK INH", "CLKINH", "common practice"],
    ["166", "CE#", "CLKINH", "Philips 74HC/HCT166"],
    ["165", "D7", "H", "Nexperia 74HC_HCT165"],
    ["595", "SH_CP", "SRCLK", "Nexperia 74HC595"],
    ["74", "1CP", "1CLK", "NXP 74HC74"],
    ["74", "/2CLR", "2CLR#", "common practice"],
    ["273", "D0", "1D", "Nexperia 74HC273"],
    ["688", "A3", "P3", "Texas Instruments SCHS196C"],
    ["32Kx8", "I/O7", "IO7", "Hitachi HM62256B"],
    ["8Kx8", "CS1#", "CE1#", "Hitachi HM6264B"],
  ])("of the %s: %s is %s (%s)", (number, theirs, ours) => {
    expect(named(number, theirs)).toBe(ours);
  });

  it("that several pins share name no single pin, but their group", () => {
    expect(named("74", "CP")).toBeUndefined();
    expect(group("74", "CP")).toEqual(["1CLK", "2CLK"]);
    expect(group("163", "Dn")).toEqual(["A", "B", "C", "D"]);
    expect(group("138", "Y")).toEqual(["Y0#", "Y1#", "Y2#", "Y3#", "Y4#", "Y5#", "Y6#", "Y7#"]);
  });

  it("that no sheet knows name nothing, even names that every object has", () => {
    expect(named("163", "CLKR")).toBeUndefined();
    expect(named("163", "toString")).toBeUndefined();
    expect(group("163", "constructor")).toEqual([]);
  });
});

describe("packages", () => {
  it("of single gates do not fit a breadboard; DIP parts do", () => {
    expect(packageOf("1G08")?.isDual).toBe(false);
    expect(packageOf("163")?.isDual).toBe(true);
    expect(packageOf("oscillator")?.isDual).toBe(true);
  });

  it("whose pin order was recalled say so", () => {
    expect(packageOf("164")?.source.fromMemory).toBe(true);
    expect(packageOf("74")?.source.fromMemory).toBe(false);
  });

  it("on record each have a behaviour", () => {
    for (const file of ["logic", "memories", "oscillators"]) {
      const rows = JSON.parse(readFileSync(`data/packages/${file}.json`, "utf8")) as {
        packages: { function: string }[];
      };
      for (const row of rows.packages) expect(behaviourOf(row.function)?.function).toBe(row.function);
    }
  });
});

describe("the writing of behaviours", () => {
  it("expands ranges by number or letter, before or behind", () => {
    expect(expandRange("1D..4D")).toEqual(["1D", "2D", "3D", "4D"]);
    expect(expandRange("A8..A11")).toEqual(["A8", "A9", "A10", "A11"]);
    expect(expandRange("A10..A12")).toEqual(["A10", "A11", "A12"]);
    expect(expandRange("QA..QD")).toEqual(["QA", "QB", "QC", "QD"]);
    expect(expandRange("1A..1C")).toEqual(["1A", "1B", "1C"]);
    expect(expandRange("1Y0#..1Y2#")).toEqual(["1Y0#", "1Y1#", "1Y2#"]);
    expect(expandRange("CLK")).toEqual(["CLK"]);
  });

  it.each([
    ["an expression reads what is not there", { inputs: "A", outputs: "Y", drives: { Y: "A & B" } }, "B is neither"],
    ["an output has no rule", { inputs: "A", outputs: "Y" }, "output Y needs exactly one rule"],
    ["a rule drives an input", { inputs: "A", drives: { A: "1" } }, "A is driven but is no output pin"],
    ["an alias leads nowhere", { inputs: "A", aliases: { X: "B" } }, "alias X means B"],
    [
      "a bit has the name of a pin",
      { inputs: "A", storage: [register("A", "A", "A")] },
      "both a pin and a storage bit",
    ],
  ])("is refused when %s", (_, definition, message) => {
    expect(() => define({ function: "x", title: "x", ...definition })).toThrow(message);
  });
});
