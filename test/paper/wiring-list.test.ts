import { readFile } from "node:fs/promises";
import { describe, expect, test } from "vitest";
import { type Circuit, readCircuit } from "../../src/circuit/index.js";
import type { Terminal } from "../../src/paper/terminal.js";
import { wiringList, type WiringList } from "../../src/paper/wiring-list.js";
import { terminalWords } from "../../src/paper/wiring-text.js";
import { boardFrom, harbourLamp } from "./board-fixture.js";

const lamp = boardFrom(harbourLamp);

function stepsOf(list: WiringList, title?: string) {
  return list.sections
    .filter((section) => title === undefined || section.title === title)
    .flatMap(({ blocks }) => blocks.flatMap(({ steps }) => steps));
}

function linesOf(list: WiringList, title: string): string[] {
  return stepsOf(list, title).map(
    ({ net, from, to, part }) => `${net}: ${terminalWords(from)} - ${terminalWords(to)}${part ? ` (${part})` : ""}`,
  );
}

describe("the wiring list of a small board", () => {
  const list = wiringList(lamp);

  test("starts with the rails and ends with unused inputs", () => {
    expect(list.sections.map(({ title }) => title)).toEqual([
      "Rails and decoupling",
      "Signals, chip by chip",
      "Inputs held at a level",
      "Connectors, resistors, capacitors",
      "Unused inputs, tied off",
    ]);
  });

  test("numbers its steps without a gap", () => {
    expect(stepsOf(list).map(({ number }) => number)).toEqual(
      Array.from({ length: list.wires + list.parts }, (_, i) => i + 1),
    );
  });

  test("gives every chip its two rails and a capacitor across them", () => {
    const rails = linesOf(list, "Rails and decoupling");
    expect(rails).toContain("high: +5 V rail - U3 pin 20 VCC");
    expect(rails).toContain("low: 0 V rail - U3 pin 10 GND");
    expect(rails).toContain("high: U3 pin 20 VCC - U3 pin 10 GND (C2, 100 nF)");
    expect(rails[0]).toBe("high: +5 V rail - 0 V rail (C9, 47 uF)");
  });

  test("goes along a net from its driver to the receivers in chip order, counting", () => {
    const clock = stepsOf(list).filter(({ net }) => net === "OSC");
    expect(
      clock.map(({ from, to, ofNet }) => [terminalWords(from), terminalWords(to), ofNet?.index, ofNet?.count]),
    ).toEqual([
      ["X1 pin 8 OUT", "U1 pin 2 CLK", 1, 3],
      ["U1 pin 2 CLK", "U5 pin 3 1CLK", 2, 3],
      ["U5 pin 3 1CLK", "U5 pin 11 2CLK", 3, 3],
    ]);
  });

  test("tells levels that matter from inputs of unused gates", () => {
    expect(linesOf(list, "Inputs held at a level")).toContain("high: +5 V rail - U4 pin 2 1B");
    const unused = linesOf(list, "Unused inputs, tied off");
    expect(unused.filter((line) => line.includes("U4"))).toEqual([
      "low: 0 V rail - U4 pin 9 3A",
      "low: 0 V rail - U4 pin 10 3B",
      "low: 0 V rail - U4 pin 12 4A",
      "low: 0 V rail - U4 pin 13 4B",
    ]);
    // The second half of the 244 drives nothing, so neither its data nor its enable matters.
    expect(unused.filter((line) => line.includes("U3"))).toHaveLength(5);
  });

  test("takes the picture through its resistor to the connector", () => {
    const outside = linesOf(list, "Connectors, resistors, capacitors");
    expect(outside).toContain("VIDEO: U5 pin 5 1Q - connector GREEN (R1, 470 ohm)");
    expect(outside).toContain("HSYNC: U4 pin 6 2Y - connector HSYNC");
    expect(outside.some((line) => line.includes("connector VIDEO"))).toBe(false);
  });

  test("brings an external net from the connector and hangs its parts on it", () => {
    const outside = linesOf(list, "Connectors, resistors, capacitors");
    expect(outside.slice(0, 2)).toEqual([
      "RESET#: connector RESET# - U1 pin 1 CLR#",
      "RESET#: U1 pin 1 CLR# - U2 pin 1 CLR#",
    ]);
    expect(outside).toContain("RESET#: U1 pin 1 CLR# - +5 V rail (R2, 10 kohm)");
    expect(outside).toContain("RESET#: U1 pin 1 CLR# - 0 V rail (C10, 1 uF)");
  });

  test("lists open pins and nets that are to come", () => {
    expect(list.open.map(({ chip, pin }) => `${chip} ${pin}`)).toContain("U4 4Y");
    expect(list.open.every(({ floats }) => !floats)).toBe(true);
    expect(list.toCome.map(({ net, pins }) => [net, pins.map(terminalWords)])).toEqual([
      ["VSYNC_NEXT", ["U5 pin 12 2D"]],
    ]);
    expect(stepsOf(list).some(({ net }) => net === "VSYNC_NEXT")).toBe(false);
  });
});

test("an input left open is marked, since it floats", () => {
  const board = boardFrom(harbourLamp.replace('"3A, 3B, 4A, 4B": low', '3A: open, "3B, 4A, 4B": low'));
  expect(wiringList(board).open.filter(({ floats }) => floats)).toEqual([
    { chip: "U4", number: 9, pin: "3A", floats: true },
  ]);
});

test("a second supply has its own rail", () => {
  const board = boardFrom(
    harbourLamp
      .replace("supply: 5 V ± 10 %", "supply: {main: 5 V ± 10 %, 3V3: 3.3 V ± 5 %}")
      .replace("{1A: DIV3,", "{VCC: 3V3, 1A: DIV3,"),
  );
  expect(linesOf(wiringList(board), "Rails and decoupling")).toContain("high: +3.3 V rail (3V3) - U4 pin 14 VCC");
});

async function bundled(name: string): Promise<Circuit> {
  const { circuit } = readCircuit(await readFile(`examples/${name}.circuit.yaml`, "utf8"), name);
  if (!circuit) throw new Error(`${name} cannot be read`);
  return circuit;
}

function key(terminal: Terminal): string {
  return terminal.kind === "pin" ? `${terminal.chip}.${terminal.number}` : terminalWords(terminal);
}

describe.each(["tide-board", "tide-board-wide", "tide-board-wide-fast", "tide-board-loader"])("wiring %s", (name) => {
  test("joins every net with one wire fewer than it has pins", async () => {
    const circuit = await bundled(name);
    const wires = stepsOf(wiringList(circuit)).filter(({ part }) => part === undefined);
    for (const net of circuit.nets.filter(({ rail }) => !rail)) {
      const pins = new Set([...net.drivers, ...net.receivers].map(({ chip, pin }) => `${chip.ref} ${pin}`));
      const mine = wires.filter((wire) => wire.net === net.name);
      const between = mine.filter(({ from, to }) => from.kind === "pin" && to.kind === "pin");
      expect([net.name, between.length]).toEqual([net.name, pins.size - 1]);

      const joined = new Set<string>();
      for (const { from, to } of between) {
        expect(joined.size === 0 || joined.has(key(from))).toBe(true);
        joined.add(key(from)).add(key(to));
      }
      expect(joined.size === 0 ? 1 : joined.size).toBe(pins.size);
    }
  });

  test("accounts for every pin of every package once", async () => {
    const circuit = await bundled(name);
    const list = wiringList(circuit);
    const reached = new Set(stepsOf(list).flatMap(({ from, to }) => [key(from), key(to)]));
    for (const { chip, number } of list.open) reached.add(`${chip}.${number}`);
    for (const chip of circuit.chips) {
      for (const { number, name: pin } of chip.part.package.pins) {
        const role = chip.part.behaviour.pins.find((known) => known.name === pin)?.role;
        if (role === "unconnected" || pin === "NC") continue;
        const net = chip.nets.get(pin);
        // A net with this pin alone needs no wire.
        if (net && net.rail === undefined && net.drivers.length + net.receivers.length === 1) continue;
        expect(reached).toContain(`${chip.ref}.${number}`);
      }
    }
  });
});
