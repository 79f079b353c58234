import { describe, expect, test } from "vitest";
import type { Circuit, NetId } from "../../src/circuit/index.js";
import { bitKey, carriesData } from "../../src/timing/control.js";
import { buildModel } from "../../src/timing/model.js";
import { buildCircuit, oscillator } from "../support/build-circuit.js";

/** Nets of a circuit in three heaps, by name. `control`: what acts at once and all that leads to it. */
function heapsOf(circuit: Circuit) {
  const model = buildModel(circuit);
  const names = (has: (id: NetId) => boolean) =>
    model.nets.flatMap(({ net }) => (has(net.id) && net.rail === undefined ? [net.name] : [])).sort();
  const data = new Set(model.nets.filter((net) => carriesData(model, net)).map(({ net }) => net.id));
  return {
    control: names((id) => model.control.nets.has(id)),
    dependent: names((id) => model.dependents.nets.has(id)),
    data: names((id) => data.has(id)),
  };
}

describe("what controls and what is only passed on", () => {
  /** A counter addresses a memory, whose byte goes through a register to a screen; a processor may lock the counter. */
  const board = (enable: string) =>
    buildCircuit({
      chips: {
        X1: [oscillator(200), "OUT=CK"],
        U1: ["74HC163", `CLK=CK CLR#=high LOAD#=high ENP=${enable} ENT=high A..D=low QA..QD=A0..A3`],
        U2: ["62256-70", "A0..A3=A0..A3 A4..A14=low CE#=low OE#=A3 WE#=high IO0..IO3=D0..D3"],
        U3: ["74HC174", "CLK=BYTE CLR#=high 1D..4D=D0..D3 1Q..4Q=V0..V3 5D=A2 5Q=LATE 6D=low"],
        U4: ["74HC00", "1A=CK 1B=A1 1Y=BYTE"],
        U5: ["74HC86", "1A=V0 1B=LATE 1Y=DOT"],
      },
      inputs: enable === "GO" ? { GO: { after: ["CK", "rise"], from: 20, to: 60 } } : {},
    });
  const still = () => heapsOf(board("high"));

  test("a clock and an output enable control, and so does all that leads to them", () => {
    expect(still().control).toEqual(["A1", "A3", "BYTE", "CK"]);
  });

  test("of a counter whose carries lead to a clock every lower bit controls, though its output may lead nowhere", () => {
    const model = buildModel(board("high"));
    const counter = model.chips.find(({ chip }) => chip.ref === "U1");
    const bits = counter?.storage.filter(({ slot }) => model.control.bits.has(bitKey(counter, slot)));
    expect(bits?.map(({ name }) => name)).toEqual(["qA", "qB", "qC", "qD"]);
  });

  test("what a memory holds is data all the way to the screen, and what is made with it too", () => {
    expect(still().data).toEqual(["D0", "D1", "D2", "D3", "DOT", "V0", "V1", "V2", "V3"]);
  });

  test("an address is no data: it follows from the counter, whose every state is known", () => {
    expect(still().dependent).not.toContain("A0");
    expect(still().data).not.toContain("LATE");
  });

  test("an enable from outside makes the whole counter depend on it; what leads to a clock still controls", () => {
    const locked = heapsOf(board("GO"));
    expect(locked.control).toEqual([...still().control, "GO"].sort());
    expect(locked.dependent).toEqual(expect.arrayContaining(["GO", "A0", "A1", "A2", "A3", "BYTE"]));
    // Those bits of the address are now unknown and only passed on.
    expect(locked.data).toEqual([...still().data, "A0", "A2", "LATE"].sort());
  });

  test("a signal from outside that is only stored is data", () => {
    const stored = buildCircuit({
      chips: {
        X1: [oscillator(200), "OUT=CK"],
        U1: ["74HC174", "CLK=CK CLR#=high 1D=IN 1Q=ONE 2D=ONE 2Q=TWO 3D..6D=low"],
      },
      inputs: { IN: { after: ["CK", "rise"], from: 20, to: 60 } },
    });
    expect(heapsOf(stored)).toEqual({ control: ["CK"], dependent: ["IN", "ONE", "TWO"], data: ["IN", "ONE", "TWO"] });
  });

  test("a reset that acts at power-up only leaves nothing dependent on it", () => {
    const reset = buildCircuit({
      chips: {
        X1: [oscillator(200), "OUT=CK"],
        U1: ["74HC175", "CLK=CK CLR#=RESET# 1D=ONE# 1Q#=ONE# 2D..4D=low"],
      },
      inputs: { "RESET#": { powerUpOnly: "low", least: 100 } },
    });
    expect(heapsOf(reset)).toMatchObject({ dependent: [], data: [] });
  });
});
