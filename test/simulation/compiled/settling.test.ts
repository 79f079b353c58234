import { describe, expect, it } from "vitest";
import type { Circuit } from "../../../src/circuit/circuit.js";
import { Machine, type MachineOptions } from "../../../src/simulation/compiled/index.js";
import type { Value } from "../../../src/simulation/index.js";
import { register } from "../../../src/parts/behaviours/define.js";
import { parseExpression } from "../../../src/parts/index.js";
import {
  ANY_TIME,
  type CircuitText,
  buildCircuit,
  chipOf,
  gate,
  invent,
  known,
  netOf,
  oscillator,
} from "../../support/build-circuit.js";

const NS = 1e6;

/** A machine with names: inputs are set at whole nanoseconds, one after the other. */
class Bench {
  readonly circuit: Circuit;
  readonly machine: Machine;
  private time = 0;

  constructor(text: CircuitText, inputs: Readonly<Record<string, Value>> = {}, options: MachineOptions = {}) {
    this.circuit = buildCircuit(text);
    const first = Object.entries(inputs).map(([name, value]) => [netOf(this.circuit, name).id, value] as const);
    this.machine = new Machine(this.circuit, { powerUp: "low", inputs: new Map(first), ...options });
  }

  /** Sets inputs all at one moment. */
  set(levels: Readonly<Record<string, Value>>): this {
    this.time++;
    for (const [name, value] of Object.entries(levels)) {
      this.machine.drive(netOf(this.circuit, name).id, this.time * NS, value);
    }
    this.machine.run(this.time * NS);
    return this;
  }

  pulse(name: string): this {
    return this.set({ [name]: 1 }).set({ [name]: 0 });
  }

  /** Values of nets as letters. */
  see(...names: readonly string[]): string {
    return names.map((name) => "01xz"[this.machine.valueOf(netOf(this.circuit, name).id)]).join("");
  }

  /** Doubts as `kind place`. */
  get doubts(): readonly string[] {
    return this.machine.doubts.map(({ kind, place }) => `${kind} ${place}`);
  }
}

const inputs = (...names: readonly string[]) => Object.fromEntries(names.map((name) => [name, ANY_TIME]));

describe("registers without delays", () => {
  it("take what their data were before the edge that changes these too", () => {
    const bench = new Bench(
      {
        chips: { U1: [known("175"), "CLK=CK CLR#=high 1D=A 1Q=Q1 2D=Q1 2Q=Q2 3D=Q2 3Q=Q3"] },
        inputs: inputs("CK", "A"),
      },
      { A: 1 },
    );
    expect(bench.pulse("CK").see("Q1", "Q2", "Q3")).toBe("100");
    expect(bench.set({ A: 0 }).pulse("CK").see("Q1", "Q2", "Q3")).toBe("010");
    expect(bench.pulse("CK").see("Q1", "Q2", "Q3")).toBe("001");
    expect(bench.machine.carefulSteps + bench.machine.thoroughSteps).toBe(0);
  });

  it("act on the falling edge where the sheet says so, stage by stage in a ripple counter", () => {
    const bench = new Bench({
      chips: {
        U1: [known("393"), "1CLK=CK 1CLR=low 1QA=A 1QB=B 1QC=C 1QD=D 2CLK=D 2CLR=low 2QA=E 2QB=F"],
      },
      inputs: inputs("CK"),
    });
    for (let count = 1; count <= 40; count++) {
      bench.set({ CK: 1 });
      expect(bench.see("F", "E", "D", "C", "B", "A")).toBe((count - 1).toString(2).padStart(6, "0"));
      bench.set({ CK: 0 });
      expect(bench.see("F", "E", "D", "C", "B", "A")).toBe(count.toString(2).padStart(6, "0"));
    }
    expect(bench.doubts).toEqual([]);
  });

  it("are clocked by gates that a register on the other edge opens and shuts", () => {
    const bench = new Bench({
      chips: {
        U1: [known("04"), "1A=CK 1Y=CK#"],
        U2: [known("74"), "1CLK=CK# 1D=GO 1CLR#=high 1PRE#=high 1Q=EN"],
        U3: [known("08"), "1A=CK 1B=EN 1Y=GATED"],
        U4: [known("393"), "1CLK=GATED 1CLR=low 1QA=A 1QB=B"],
      },
      inputs: inputs("CK", "GO"),
    });
    bench.pulse("CK").pulse("CK");
    expect(bench.see("B", "A")).toBe("00");
    bench.set({ GO: 1 }).pulse("CK").pulse("CK").pulse("CK");
    // The first fall opens the gate only.
    expect(bench.see("B", "A")).toBe("10");
    bench.set({ GO: 0 }).pulse("CK").pulse("CK").pulse("CK");
    expect(bench.see("B", "A")).toBe("11");
    expect(bench.doubts).toEqual([]);
    expect(bench.machine.thoroughSteps).toBe(0);
  });

  it("take what a net carries whose drivers are enabled by the clock and, on its other edge, by two registers", () => {
    const bench = new Bench({
      chips: {
        U1: [known("74"), "1CLK=CK 1D=CLK# 1PRE#=high 1CLR#=high 1Q=CLK 1Q#=CLK#"],
        U2: [known("74"), "1CLK=CLK# 1D=A 1PRE#=high 1CLR#=high 1Q=EN1 2CLK=CLK# 2D=B 2PRE#=high 2CLR#=high 2Q=EN2"],
        U3: [known("175"), "CLK=CLK CLR#=high 1D=C 1Q=EN3"],
        U4: [known("125"), "1OE#=EN1 1A=X 1Y=N 2OE#=EN2 2A=X 2Y=N 3OE#=EN3 3A=Y 3Y=N"],
        U5: [known("175"), "CLK=CLK CLR#=high 1D=N 1Q=Q"],
      },
      inputs: inputs("CK", "A", "B", "C", "X", "Y"),
    });
    // The third driver alone: what it drives is taken as it lets go, while the other registers are not clocked.
    bench.set({ A: 1, B: 1 }).pulse("CK").pulse("CK").set({ C: 1, Y: 1 }).pulse("CK").pulse("CK");
    expect(bench.see("N", "Q", "EN1", "EN2", "EN3")).toBe("z1111");
    expect(bench.doubts).toEqual([]);
    expect(bench.machine.thoroughSteps).toBe(0);
  });

  it("are cleared and loaded at once, whatever the clock does", () => {
    const bench = new Bench(
      {
        chips: {
          U1: [known("191"), "CLK=CK CTEN#=low D/U#=low LOAD#=LOAD# A=high B=low C=X D=high QA=A QB=B QC=C QD=D"],
          U2: [known("161"), "CLK=CK CLR#=CLR# LOAD#=high ENP=high ENT=high A..D=low QA=E QB=F"],
        },
        inputs: inputs("CK", "LOAD#", "CLR#", "X"),
      },
      { "LOAD#": 1, "CLR#": 1 },
    );
    expect(bench.pulse("CK").see("D", "C", "B", "A", "F", "E")).toBe("000101");
    expect(bench.set({ "LOAD#": 0 }).see("D", "C", "B", "A")).toBe("1001");
    expect(bench.set({ X: 1 }).see("D", "C", "B", "A")).toBe("1101");
    expect(bench.pulse("CK").see("D", "C", "B", "A", "F", "E")).toBe("110110");
    expect(bench.set({ "LOAD#": 1 }).pulse("CK").see("D", "C", "B", "A", "F", "E")).toBe("111011");
    expect(bench.set({ "CLR#": 0 }).see("F", "E")).toBe("00");
    expect(bench.doubts).toEqual([]);
  });

  it("count up and down by two clocks of one chip", () => {
    const bench = new Bench(
      {
        chips: { U1: [known("193"), "UP=UP DOWN=DOWN CLR=low LOAD#=high A..D=low QA=A QB=B QC=C QD=D"] },
        inputs: inputs("UP", "DOWN"),
      },
      { UP: 1, DOWN: 1 },
    );
    for (let n = 0; n < 3; n++) bench.set({ UP: 0 }).set({ UP: 1 });
    expect(bench.see("D", "C", "B", "A")).toBe("0011");
    bench.set({ DOWN: 0 }).set({ DOWN: 1 });
    expect(bench.see("D", "C", "B", "A")).toBe("0010");
    expect(bench.doubts).toEqual([]);
  });
});

describe("latches without delays", () => {
  it("follow while open and keep what they had when shut", () => {
    const bench = new Bench({
      chips: { U1: [known("573"), "LE=LE OE#=low 1D=D 1Q=Q"] },
      inputs: inputs("LE", "D"),
    });
    expect(bench.set({ D: 1 }).see("Q")).toBe("0");
    expect(bench.set({ LE: 1 }).see("Q")).toBe("1");
    expect(bench.set({ D: 0 }).see("Q")).toBe("0");
    expect(bench.set({ D: 1 }).set({ LE: 0 }).set({ D: 0 }).see("Q")).toBe("1");
    expect(bench.doubts).toEqual([]);
  });

  it("of two gates keep their side until they are told otherwise", () => {
    const bench = new Bench(
      { chips: { U1: [known("00"), "1A=S# 1B=Q# 1Y=Q 2A=R# 2B=Q 2Y=Q#"] }, inputs: inputs("S#", "R#") },
      { "S#": 1, "R#": 0 },
    );
    expect(bench.see("Q", "Q#")).toBe("01");
    expect(bench.set({ "R#": 1 }).see("Q", "Q#")).toBe("01");
    expect(bench.set({ "S#": 0 }).see("Q", "Q#")).toBe("10");
    expect(bench.set({ "S#": 1 }).see("Q", "Q#")).toBe("10");
    expect(bench.set({ "S#": 0, "R#": 0 }).see("Q", "Q#")).toBe("11");
    expect(bench.doubts).toEqual([]);
    // Let go of both ends at once, either side may win.
    expect(bench.set({ "S#": 1, "R#": 1 }).see("Q", "Q#")).toBe("xx");
    expect(bench.doubts).toContain("loop Q");
    expect(bench.set({ "R#": 0 }).see("Q", "Q#")).toBe("01");
  });
});

describe("a counter that clears itself", () => {
  const counts = (bench: Bench, count: number) =>
    Array.from({ length: count }, () => bench.pulse("CK").see("D", "C", "B", "A"));

  it("by one of its bits counts as far as that and begins anew", () => {
    const bench = new Bench({
      chips: {
        U1: [known("393"), "1CLK=CK 1CLR=FOUR 1QA=A 1QB=B 1QC=C 1QD=D"],
        U2: [known("08"), "1A=C 1B=high 1Y=FOUR"],
      },
      inputs: inputs("CK"),
    });
    expect(counts(bench, 6)).toEqual(["0001", "0010", "0011", "0000", "0001", "0010"]);
    expect(bench.doubts).toEqual([]);
    expect(bench.machine.thoroughSteps).toBe(0);
  });

  it("by two of its bits may clear itself too soon, where one falls as the other rises", () => {
    const bench = new Bench({
      chips: {
        U1: [known("393"), "1CLK=CK 1CLR=FIVE 1QA=A 1QB=B 1QC=C 1QD=D"],
        U2: [known("08"), "1A=A 1B=C 1Y=FIVE"],
      },
      inputs: inputs("CK"),
    });
    expect(counts(bench, 3)).toEqual(["0001", "0010", "0011"]);
    expect(bench.doubts).toEqual([]);
    expect(counts(bench, 1)).toEqual(["xxxx"]);
    expect(bench.doubts).toContain("loop FIVE");
  });
});

describe("nets that several drive", () => {
  it("are as the one driver has them, nobody's, or fought over", () => {
    const bench = new Bench(
      {
        chips: { U1: [known("244"), "1OE#=A# 2OE#=B# 1A1=X 1Y1=N 2A1=Y 2Y1=N"] },
        inputs: inputs("A#", "B#", "X", "Y"),
      },
      { "A#": 1, "B#": 1, X: 1 },
    );
    expect(bench.see("N")).toBe("z");
    expect(bench.set({ "A#": 0 }).see("N")).toBe("1");
    expect(bench.set({ "B#": 0 }).see("N")).toBe("x");
    expect(bench.set({ Y: 1 }).see("N")).toBe("1");
    expect(bench.set({ "A#": 1, Y: 0 }).see("N")).toBe("0");
    expect(bench.doubts).toEqual([]);
    expect(bench.machine.carefulSteps).toBe(0);
  });

  it("leave a register unknown that takes them while they are nobody's", () => {
    const bench = new Bench(
      {
        chips: {
          U1: [known("244"), "1OE#=A# 1A1=X 1Y1=N"],
          U2: [known("74"), "1CLK=CK 1D=N 1CLR#=high 1PRE#=high 1Q=Q"],
        },
        inputs: inputs("A#", "X", "CK"),
      },
      { "A#": 1 },
    );
    expect(bench.pulse("CK").see("Q")).toBe("x");
    expect(bench.machine.followsUnknown).toBe(true);
    expect(bench.set({ "A#": 0, X: 1 }).pulse("CK").see("Q")).toBe("1");
    for (let n = 0; n < 100; n++) bench.pulse("CK");
    expect(bench.machine.followsUnknown).toBe(false);
  });
});

describe("memories", () => {
  const ram = invent(
    {
      function: "16x4",
      inputs: "A0..A3 OE# WE#",
      inOuts: "IO0..IO3",
      memory: {
        address: ["A0", "A1", "A2", "A3"],
        data: ["IO0", "IO1", "IO2", "IO3"],
        read: { kind: "not", of: { kind: "name", name: "OE#" } },
        write: { kind: "not", of: { kind: "name", name: "WE#" } },
      },
    },
    { delay: 70 },
  );
  const text: CircuitText = {
    chips: {
      U1: [ram, "A0..A3=A0..A3 OE#=OE# WE#=WE# IO0..IO3=D0..D3"],
      U2: [known("244"), "1OE#=IN# 1A1..1A4=X0..X3 1Y1..1Y4=D0..D3"],
    },
    inputs: inputs("A0..A3", "OE#", "WE#", "IN#", "X0..X3"),
  };
  const bits = (name: string, value: number) =>
    Object.fromEntries([0, 1, 2, 3].map((n) => [`${name}${n}`, ((value >> n) & 1) as Value]));
  const idle = { "OE#": 1, "WE#": 1, "IN#": 1 } as const;
  const make = () => {
    const circuit = buildCircuit(text);
    return new Bench(text, idle, { contents: new Map([[chipOf(circuit, "U1"), new Uint8Array(16)]]) });
  };
  const read = (bench: Bench, address: number) => {
    bench.set(bits("A", address)).set({ "OE#": 0 });
    const seen = bench.see("D3", "D2", "D1", "D0");
    bench.set({ "OE#": 1 });
    return seen;
  };

  it("take data while written, and keep what they were at the end", () => {
    const bench = make();
    bench
      .set({ ...bits("A", 5), ...bits("X", 0b1010) })
      .set({ "IN#": 0 })
      .set({ "WE#": 0 });
    bench.set(bits("X", 0b0110)).set({ "WE#": 1 }).set(bits("X", 0b1111)).set({ "IN#": 1 });
    expect(bench.see("D3", "D2", "D1", "D0")).toBe("zzzz");
    expect(read(bench, 5)).toBe("0110");
    expect(read(bench, 4)).toBe("xxxx");
    expect(bench.doubts).toEqual([]);
  });

  it("do not tell which cells are hit when the address moves during a write", () => {
    const bench = make();
    for (let address = 0; address < 16; address++) {
      bench.set({ ...bits("A", address), ...bits("X", address) }).set({ "IN#": 0 });
      bench.set({ "WE#": 0 }).set({ "WE#": 1 }).set({ "IN#": 1 });
    }
    bench
      .set({ ...bits("A", 0), ...bits("X", 0b1111) })
      .set({ "IN#": 0 })
      .set({ "WE#": 0 });
    bench.set(bits("A", 0b0011)).set({ "WE#": 1 }).set({ "IN#": 1 });
    expect(bench.doubts).toEqual(["address moves U1"]);
    expect([0, 1, 2, 3, 4].map((address) => read(bench, address))).toEqual(["1111", "xxx1", "xx1x", "1111", "0100"]);
  });

  it("are not written by a select that two drivers hand over while a register holds the strobe high", () => {
    const selected = invent(
      {
        function: "16x4 with select",
        inputs: "A0..A3 CS# WE#",
        inOuts: "IO0..IO3",
        memory: {
          address: ["A0", "A1", "A2", "A3"],
          data: ["IO0", "IO1", "IO2", "IO3"],
          read: parseExpression("!CS#"),
          write: parseExpression("!CS# & !WE#"),
        },
      },
      { delay: 70 },
    );
    const circuit: CircuitText = {
      chips: {
        U1: [selected, "A0..A3=A0..A3 CS#=CS# WE#=WE# IO0..IO3=D0..D3"],
        U2: [known("244"), "1OE#=E# 1A1=X 1Y1=CS# 2OE#=E 2A1=Y 2Y1=CS#"],
        U3: [known("74"), "1CLK=CK 1D=T 1PRE#=high 1CLR#=high 1Q=E 1Q#=E# 2CLK=CK 2D=W 2PRE#=high 2CLR#=high 2Q=WE#"],
      },
      inputs: inputs("A0..A3", "CK", "T", "W", "X", "Y"),
    };
    const bench = new Bench(circuit, { W: 1, X: 1, Y: 1 }, { contents: new Map() });
    bench.pulse("CK").set({ X: 0 });
    bench.machine.forgetDoubts();
    const before = bench.machine.thoroughSteps;
    for (const level of [1, 0, 1, 0] as const) bench.set({ T: level }).pulse("CK");
    expect(bench.see("WE#", "CS#")).toBe("11");
    expect(bench.doubts).toEqual([]);
    expect(bench.machine.thoroughSteps).toBe(before);
  });
});

describe("where the outcome hangs on delays", () => {
  it("a register that one buffer clocks and another's data reach is named, and unknown", () => {
    const bench = new Bench({
      chips: {
        U1: [known("08"), "1A=CK 1B=high 1Y=CKA 2A=CK 2B=high 2Y=CKB"],
        U2: [known("74"), "1CLK=CKA 1D=Q1# 1CLR#=high 1PRE#=high 1Q=Q1 1Q#=Q1#"],
        U3: [known("74"), "1CLK=CKB 1D=Q1 1CLR#=high 1PRE#=high 1Q=Q2"],
      },
      inputs: inputs("CK"),
    });
    expect(bench.pulse("CK").see("Q1", "Q2")).toBe("1x");
    expect(bench.machine.doubts[0]).toMatchObject({ kind: "race", place: "U3 q1", nets: ["CKB", "Q1"] });
  });

  it("a gate that may pulse matters where it clocks, and only there", () => {
    const text: CircuitText = {
      chips: {
        U1: [known("175"), "CLK=CK CLR#=high 1D=Q1# 1Q=Q1 1Q#=Q1# 2D=Q1 2Q=Q2"],
        U2: [known("86"), "1A=Q1 1B=Q2 1Y=ODD"],
        U3: [
          known("74"),
          "1CLK=ODD 1D=high 1CLR#=high 1PRE#=high 1Q=SEEN 2CLK=CK 2D=ODD 2CLR#=high 2PRE#=high 2Q=DATA",
        ],
      },
      inputs: inputs("CK"),
    };
    const bench = new Bench(text);
    // 00 to 10: the sum rises once. 10 to 01 and back: both change, it may fall and rise again.
    expect(bench.pulse("CK").see("Q1", "Q2", "ODD", "SEEN", "DATA")).toBe("10110");
    expect(bench.pulse("CK").see("Q1", "Q2", "ODD", "SEEN", "DATA")).toBe("01111");
    // A register that is set already does not mind.
    expect(bench.doubts).toEqual([]);
    const toggling = new Bench({
      ...text,
      chips: { ...text.chips, U3: [known("74"), "1CLK=ODD 1D=T# 1CLR#=high 1PRE#=high 1Q=T 1Q#=T#"] },
    });
    expect(toggling.pulse("CK").see("T")).toBe("1");
    expect(toggling.pulse("CK").see("T")).toBe("x");
    expect(toggling.doubts).toEqual(["pulse U3 q1"]);
  });

  it("a clear that is let go as the clock rises", () => {
    const bench = new Bench(
      {
        chips: {
          U1: [known("74"), "1CLK=CK 1D=GO 1CLR#=high 1PRE#=high 1Q=RUN"],
          U2: [gate("A", "A", 5), "A=CK Y=LATE"],
          U3: [known("74"), "1CLK=LATE 1D=high 1CLR#=RUN 1PRE#=high 1Q=Q"],
        },
        inputs: inputs("CK", "GO"),
      },
      { GO: 1 },
    );
    expect(bench.pulse("CK").see("RUN", "Q")).toBe("1x");
    expect(bench.doubts).toEqual(["race U3 q1"]);
  });

  it("inputs that change at one moment", () => {
    const bench = new Bench({
      chips: { U1: [known("74"), "1CLK=CK 1D=D 1CLR#=high 1PRE#=high 1Q=Q"] },
      inputs: inputs("CK", "D"),
    });
    expect(bench.set({ CK: 1, D: 1 }).see("Q")).toBe("x");
    expect(bench.doubts).toEqual(["race U1 q1"]);
  });

  it("two oscillators whose edges coincide", () => {
    const bench = new Bench({
      chips: {
        X1: [oscillator(10), "OUT=C1"],
        X2: [oscillator(20), "OUT=C2"],
        U1: [
          invent({
            function: "T",
            inputs: "CLK",
            outputs: "Q",
            storage: [register("q", "CLK", "!q")],
            drives: { Q: "q" },
          }),
          "CLK=C1 Q=T",
        ],
        U2: [known("74"), "1CLK=C2 1D=T 1CLR#=high 1PRE#=high 1Q=Q"],
      },
    });
    // C1 rises at 5, 15, 25 ns, C2 at 10, 30, 50 ns: while C1 falls. T is settled.
    bench.machine.run(60 * NS);
    expect(bench.doubts).toEqual([]);
  });
});
