import { describe, expect, test } from "vitest";
import { judgeElectrical } from "../../src/electrical/index.js";
import { openBoard } from "./board.js";

const names = ["tide-board", "tide-board-wide", "tide-board-wide-fast", "tide-board-loader"];

describe.each([...names, "order-board", "star-board", "lap-board"])("%s", (name) => {
  const circuit = openBoard(name);

  test("is complete to the pin: the reader has nothing to say about it", () => {
    for (const { part, nets, open } of circuit.chips) {
      const signals = part.behaviour.pins.filter(({ role }) => !["supply", "ground", "unconnected"].includes(role));
      expect(signals.filter((pin) => !nets.has(pin.name) && !open.has(pin.name))).toEqual([]);
    }
    expect(circuit.toCome).toEqual([]);
  });

  test("fits sockets: every part exists in a dual in-line package", () => {
    expect(circuit.chips.filter(({ part }) => !part.package.isDual)).toEqual([]);
  });

  test("has a capacitor of 100 nF for each chip and a larger one", () => {
    const capacitors = circuit.passives.filter(({ kind }) => kind === "capacitor");
    const small = capacitors.filter(({ value }) => value === "100 nF").map(({ note }) => note);
    expect(small.sort()).toEqual(circuit.chips.map(({ ref }) => `at ${ref}`).sort());
    expect(capacitors).toHaveLength(small.length + 1);
  });

  test("sends all three colours and both syncs through its driver", () => {
    const driver = circuit.chips.find(({ part }) => part.number === "74ACT244");
    const driven = [...(driver?.nets ?? [])].filter(([pin]) => pin.includes("Y")).map(([, net]) => net.name);
    expect(driven.sort()).toEqual(["BLUE", "GREEN", "HSYNC", "RED", "VSYNC"]);
  });
});

describe.each(names)("%s, electrically", (name) => {
  const { verdicts } = judgeElectrical(openBoard(name));

  test("holds at every place: levels, loads, edges, floating nets, supply, monitor", () => {
    expect(verdicts.filter(({ state }) => state !== "holds").map((verdict) => verdict.name)).toEqual([]);
    expect(verdicts.filter(({ restsOn }) => restsOn.includes("assumed levels"))).toEqual([]);
  });

  test("has the RAM's TTL high level in front of an input for TTL levels, with 0.4 V to spare", () => {
    const read = verdicts.find(({ rule, reference }) => rule === "high level" && reference.startsWith("U25 IO"));
    expect(read).toMatchObject({ required: 2_000_000, margin: 400_000, restsOn: ["from memory"] });
  });
});

test("tide-board is 74HC but for the stages that 74HC is not guaranteed to serve", () => {
  const { chips } = openBoard("tide-board");
  const others = chips.filter(({ part }) => part.family !== "HC").map(({ part }) => part.number);
  expect(others).toEqual(["OSC-25.175MHz", "74AHCT74", "74ACT174", "74AHCT574", "62256-70", "74HCT166", "74ACT244"]);
});

test("the wide board is the narrow one with another clock: same parts but for two inverters of the oscillator", () => {
  const parts = (name: string) => openBoard(name).chips.map(({ part }) => part.number);
  expect(parts("tide-board-wide").sort()).toEqual([...parts("tide-board"), "74AHCT04"].sort());
});
