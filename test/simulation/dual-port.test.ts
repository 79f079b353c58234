import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { ns } from "../../src/quantity/index.js";
import type { Simulator } from "../../src/simulation/index.js";
import type { Circuit } from "../../src/circuit/index.js";
import { judgeElectrical } from "../../src/electrical/index.js";
import { prove } from "../../src/timing/index.js";
import {
  ANY_TIME,
  type CircuitText,
  buildCircuit,
  chipOf,
  known,
  netOf,
  oscillator,
} from "../support/build-circuit.js";
import { letterOf, play, start } from "./running.js";

const data = ["D0", "D1", "D2", "D3", "D4", "D5", "D6", "D7"];
const ports = ["L", "R"] as const;
type Port = (typeof ports)[number];

/** A 7134 alone: four addresses and all data of each port from outside, both ports selected and enabled. */
const circuit = buildCircuit({
  chips: {
    U1: [
      known("4Kx8 dual-port", {
        delay: (from, _edge, _to, change) => (change.endsWith("-z") ? 10 : from.startsWith("A") ? 55 : 30),
      }),
      ports
        .map(
          (p) =>
            `A0${p}..A1${p}=${p}A0..${p}A1 A2${p}..A11${p}=low CE${p}#=low OE${p}#=low WE${p}#=${p}WE IO0${p}..IO7${p}=${p}D0..${p}D7`,
        )
        .join(" "),
    ],
  },
  inputs: Object.fromEntries(
    ports.flatMap((p) => [`${p}A0..${p}A1`, `${p}WE`, `${p}D0..${p}D7`].map((name) => [name, ANY_TIME])),
  ),
});
const contents = new Map([[chipOf(circuit, "U1"), Uint8Array.of(10, 11, 12, 13)]]);

/** Both ports read, and the outside leaves the data alone. */
function reading(): Simulator {
  const idle = ports.flatMap((p) => [[`${p}WE`, 1] as const, ...data.map((d) => [`${p}${d}`, 3] as const)]);
  return start(circuit, { contents, inputs: Object.fromEntries(idle) });
}

function address(simulator: Simulator, port: Port, time: number, cell: number): void {
  for (const bit of [0, 1]) play(simulator, `${port}A${bit}`, [[time, ((cell >> bit) & 1) as 0 | 1]]);
}

/** A write of 200 ns; the outside drives the data from 20 ns on and leaves them 10 ns after it. */
function write(simulator: Simulator, port: Port, time: number, byte: number): void {
  play(simulator, `${port}WE`, [
    [time, 0],
    [time + 200, 1],
  ]);
  data.forEach((pin, bit) =>
    play(simulator, `${port}${pin}`, [
      [time + 20, ((byte >> bit) & 1) as 0 | 1],
      [time + 210, 3],
    ]),
  );
}

function seen(simulator: Simulator, port: Port): string {
  const bits = data.map((pin) => letterOf(simulator, `${port}${pin}`)).reverse();
  return bits.every((bit) => bit === "0" || bit === "1") ? String(parseInt(bits.join(""), 2)) : bits.join("");
}

describe("a dual-port RAM in the simulation", () => {
  it("shows each port its own cell", () => {
    const simulator = reading();
    address(simulator, "L", 100, 2);
    address(simulator, "R", 100, 3);
    simulator.run(ns(500));
    expect([seen(simulator, "L"), seen(simulator, "R")]).toEqual(["12", "13"]);
  });

  it("shows at one port what the other has written, an access time after the write", () => {
    const simulator = reading();
    address(simulator, "L", 100, 2);
    address(simulator, "R", 100, 2);
    write(simulator, "L", 500, 0x5a);
    simulator.run(ns(499));
    expect(seen(simulator, "R")).toBe("12");
    simulator.run(ns(754));
    expect(seen(simulator, "R")).toBe("xxxxxxxx");
    simulator.run(ns(755));
    expect(seen(simulator, "R")).toBe(String(0x5a));
  });

  it("leaves a port that reads another cell alone", () => {
    const simulator = reading();
    address(simulator, "L", 100, 2);
    address(simulator, "R", 100, 1);
    simulator.run(ns(499));
    const before = simulator.outputChanges;
    play(simulator, "LWE", [
      [500, 0],
      [700, 1],
    ]);
    for (const time of [510, 600, 699, 900]) {
      simulator.run(ns(time));
      expect(seen(simulator, "R")).toBe("11");
    }
    expect(simulator.outputChanges).toBeGreaterThan(before);
  });

  it("reads unknown while the other port's address passes over its cell during a write", () => {
    const simulator = reading();
    address(simulator, "R", 100, 1);
    write(simulator, "L", 500, 0x77);
    address(simulator, "L", 600, 1);
    address(simulator, "L", 650, 2);
    simulator.run(ns(700));
    expect(seen(simulator, "R")).toBe("xxxxxxxx");
    simulator.run(ns(1000));
    expect(seen(simulator, "R")).toBe(String(0x77)); // a stray write
    expect(simulator.memories[0]?.strayCount).toBe(3); // cells 1, 0 and 2, as one address bit moves after the other
  });

  it("holds nothing known in a cell that both ports write at once", () => {
    const simulator = reading();
    write(simulator, "L", 500, 0x0f);
    write(simulator, "R", 550, 0x0f);
    simulator.run(ns(1200));
    expect([seen(simulator, "L"), seen(simulator, "R")]).toEqual(["xxxxxxxx", "xxxxxxxx"]);
    write(simulator, "R", 1300, 0x33);
    simulator.run(ns(2000));
    expect([seen(simulator, "L"), seen(simulator, "R")]).toEqual(["51", "51"]);
  });

  it("keeps in each cell what either port wrote last, when they take turns", () => {
    const steps = fc.array(
      fc.record({ port: fc.constantFrom(...ports), cell: fc.nat(3), byte: fc.nat(255), look: fc.nat(3) }),
      { maxLength: 10 },
    );
    fc.assert(
      fc.property(steps, (turns) => {
        const simulator = reading();
        const expected = [10, 11, 12, 13];
        turns.forEach(({ port, cell, byte, look }, index) => {
          const time = 1000 * (index + 1);
          address(simulator, port, time, cell);
          write(simulator, port, time + 100, byte);
          expected[cell] = byte;
          address(simulator, port === "L" ? "R" : "L", time + 500, look);
          simulator.run(ns(time + 900));
          expect(seen(simulator, port)).toBe(String(byte));
          expect(seen(simulator, port === "L" ? "R" : "L")).toBe(String(expected[look]));
        });
        expect([...(simulator.memories[1]?.contents.slice(0, 4) ?? [])]).toEqual(expected);
      }),
    );
  });

  it("is loaded once for both ports", () => {
    const simulator = reading();
    simulator.load(chipOf(circuit, "U1"), Uint8Array.of(200, 201));
    simulator.run(ns(100));
    expect([seen(simulator, "L"), seen(simulator, "R")]).toEqual(["200", "200"]);
    expect(netOf(circuit, "LD0").name).toBe("LD0");
  });
});

describe("a dual-port RAM in the proof", () => {
  /** The left port is read at a counter's address; the right one is written in one of four clocks. */
  const proven = buildCircuit({
    chips: {
      X1: [oscillator(250), "OUT=CK"],
      U1: ["74HC163", "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA..QD=LA0..LA3"],
      U2: ["74HC574", "CLK=CK OE#=low 1D..4D=LD0..LD3 5D..8D=low 1Q..4Q=Q0..Q3"],
      U3: ["74HC175", "CLK=CK CLR#=high 1D=LATER# 2D=EARLY 3D=low 4D=low 1Q=EARLY 2Q=LATER 2Q#=LATER#"],
      U4: ["74HC00", "1A=EARLY 1B=LATER 1Y=WE#"],
      U5: ["74HC163", "CLK=LATER# CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA..QD=S0..S3"],
      U6: [
        "7132-55",
        "A0L..A3L=LA0..LA3 A4L..A10L=low CEL#=low OEL#=low WEL#=high IO0L..IO3L=LD0..LD3 " +
          "A0R..A3R=S0..S3 A4R..A10R=low CER#=low OER#=high WER#=WE# IO0R..IO3R=S0..S3",
      ],
    },
  });

  it("has each port's times checked by themselves, and says what it does not see", () => {
    const { verdicts } = prove(proven);
    const names = verdicts.map(({ name }) => name);
    expect(names).toEqual(expect.arrayContaining(["tDW U6 IO0R", "tAW U6 A0R", "tRC U6 A0L", "memory read U2 1D"]));
    expect(names.filter((name) => /^t[ADW][A-Z]* U6 (A|IO)\dL/.test(name))).toEqual([]);
    const others = verdicts.filter(({ state }) => state !== "holds").map(({ name, state }) => `${name}: ${state}`);
    expect(others).toEqual(["not described U6 both ports at one cell: not covered"]);
  });

  it("leaves open what its BUSY# does to others, in time and in levels, unless the file says when it comes", () => {
    const circuitWith = (inputs: CircuitText["inputs"] = {}) =>
      buildCircuit({
        chips: {
          X1: [oscillator(250), "OUT=CK"],
          U1: ["74HC163", "CLK=CK CLR#=high LOAD#=high ENP=BUSY# ENT=high A..D=low QA..QD=LA0..LA3"],
          U6: [
            "7132-55",
            "A0L..A3L=LA0..LA3 A4L..A10L=low CEL#=low OEL#=low WEL#=high IO0L..IO3L=LD0..LD3 BUSYL#=BUSY# " +
              "A0R..A10R=low CER#=high OER#=high WER#=high",
          ],
        },
        inputs,
      });
    const notCovered = (circuit: Circuit) =>
      [...prove(circuit).verdicts, ...judgeElectrical(circuit).verdicts].filter(
        ({ state, net, chip }) => state === "not covered" && (net === "BUSY#" || chip === "U6"),
      );
    const [inTime, inLevels] = notCovered(circuitWith());
    expect(inTime).toMatchObject({ name: "not described BUSY#", note: expect.stringContaining("U6 BUSYL#") });
    expect(inLevels).toMatchObject({ name: "level figures U6 SRAM", missing: ["U6: 7132-55 BUSYL# levels"] });
    expect(notCovered(circuitWith({ "BUSY#": ANY_TIME })).map(({ name }) => name)).not.toContain(inTime?.name);
  });

  it("is not said to be seen in part where only one port is in use, or none writes", () => {
    const unseen = (right: string) =>
      prove(
        buildCircuit({
          chips: {
            X1: [oscillator(250), "OUT=CK"],
            U1: ["74HC163", "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA..QD=A0..A3"],
            U2: ["74HC574", "CLK=CK OE#=low 1D..4D=LD0..LD3 5D..8D=low 1Q..4Q=Q0..Q3"],
            U6: [
              "7132-55",
              `A0L..A3L=A0..A3 A4L..A10L=low CEL#=low OEL#=low WEL#=high IO0L..IO3L=LD0..LD3 A0R..A3R=A0..A3 ${right}`,
            ],
          },
        }),
      ).verdicts.filter(({ rule }) => rule === "not described");
    expect(unseen("A4R..A10R=low CER#=high OER#=low WER#=high IO0R..IO3R=D0..D3")).toEqual([]);
    expect(unseen("A4R..A10R=low CER#=low OER#=low WER#=high IO0R..IO3R=D0..D3")).toEqual([]);
    expect(unseen("A4R..A10R=low CER#=low OER#=high WER#=A0 IO0R..IO3R=Q0..Q3")).toHaveLength(1);
  });
});
