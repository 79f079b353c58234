import { describe, expect, test } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type CircuitText, type GivenFigures, buildCircuit, known, oscillator } from "../support/build-circuit.js";

const figures: GivenFigures = { delay: [2, 10], setUp: 1, hold: 0, width: 5, recovery: 1, period: 20 };

const slow: GivenFigures = { delay: [2, 20] };

/** Two buffers on one net; SEL changes with every rise of the clock, LATE and AS_LATE are it the other way round and later. */
function contentions(buffers: string, inverters = slow, driving = figures, allowed = 0) {
  const text: CircuitText = {
    chips: {
      X1: [oscillator(200), "OUT=CK"],
      U1: [known("74", figures), "1CLK=CK 1D=SEL# 1CLR#=high 1PRE#=high 1Q=SEL 1Q#=SEL#"],
      U2: [known("04", inverters), "1A=SEL 1Y=LATE 2A=SEL 2Y=AS_LATE"],
      U3: [known("244", driving), buffers],
      U4: [known("04", { delay: 5 }), "1A=BUS"],
    },
  };
  const circuit = { ...buildCircuit(text), allowedContention: ns(allowed) };
  return prove(circuit).verdicts.filter(({ rule }) => rule === "contention");
}

/** Common practice: an output lets go of a net before another takes it. */
describe("outputs that share a net fight", () => {
  test("where one signal enables both at the same time", () => {
    const found = contentions("1OE#=SEL 1A1=low 1Y1=BUS 2OE#=SEL 2A1=high 2Y1=BUS");
    expect(found.map(({ state, reference, pin }) => [state, reference, pin])).toContainEqual([
      "fails",
      "U3 1Y1",
      "2Y1",
    ]);
  });

  test("where both always drive, though nothing ever changes", () => {
    const found = contentions("1OE#=low 1A1=low 1Y1=BUS 2OE#=low 2A1=high 2Y1=BUS");
    expect(found).toMatchObject([{ state: "fails", reference: "U3 1Y1", pin: "2Y1" }]);
    expect(found[0]?.note).toMatch(/always drives/);
  });

  // From SEL's fall the one takes the net after 2 ns at least, the other lets go after 20 + 10 ns at most.
  test("for as long as one lets go later than the other takes over", () => {
    const found = contentions("1OE#=SEL 1A1=low 1Y1=BUS 2OE#=LATE 2A1=high 2Y1=BUS");
    expect(found.find(({ pin }) => pin === "1Y1")).toMatchObject({
      state: "fails",
      reference: "U3 2Y1",
      available: -ns(28),
    });
  });

  // Typically the one takes the net after 6 ns and the other lets go after 11 + 6 ns.
  test("for no longer than the file allows, at worst and typically, without harm", () => {
    const found = contentions("1OE#=SEL 1A1=low 1Y1=BUS 2OE#=LATE 2A1=high 2Y1=BUS", slow, figures, 30);
    expect(found.find(({ pin }) => pin === "1Y1")).toMatchObject({
      state: "holds",
      available: ns(30 - 28),
      typicalMargin: ns(30 - 11),
      allowance: ns(30),
    });
  });

  // The enable alone would begin to drive 5 + 12 ns after SEL's rise. The data fall 5 ns after it too, just after the enable,
  // and are through after 1 ns: the high level that was on its way cancels, and the output begins with the low one.
  test("though only a change of data that overtakes the enable makes one begin so early", () => {
    const overtaking: GivenFigures = {
      delay: (from, edge, _to, change) =>
        from === "2A1" && change === "fall" ? 1 : change.startsWith("z") ? 12 : edge === "rise" ? 10 : 3,
    };
    const found = contentions("1OE#=SEL 1A1=low 1Y1=BUS 2OE#=LATE 2A1=AS_LATE 2Y1=BUS", { delay: [5, 6] }, overtaking);
    expect(found.find(({ pin }) => pin === "2Y1")).toMatchObject({
      state: "fails",
      reference: "U3 1Y1",
      available: -ns(4),
    });
  });

  test("though the data of the one change as it takes the net, and it lets go long after the other takes over", () => {
    const found = contentions("1OE#=SEL 1A1=low 1Y1=BUS 2OE#=LATE 2A1=AS_LATE 2Y1=BUS", { delay: [15, 20] });
    expect(found.find(({ pin }) => pin === "1Y1")).toMatchObject({ state: "fails", reference: "U3 2Y1" });
  });

  // DATA may change within any four periods of the clock, and so runs into the turns of both. From one edge of the clock the
  // one takes the net after 2 + 2 ns at least, the other lets go after 10 + 10 at most, two periods before the next such turn.
  test.each([
    ["on both sides", "1A1=DATA 2A1=DATA"],
    ["on one side", "1A1=DATA 2A1=low"],
  ])("in each turn by itself, whatever data of unknown times are shown %s", (_, data) => {
    const proof = prove(
      buildCircuit({
        chips: {
          X1: [oscillator(250), "OUT=CK"],
          U1: [known("74", figures), "1CLK=CK 1D=SEL# 1CLR#=high 1PRE#=high 1Q=SEL 1Q#=SEL#"],
          U3: [known("244", figures), `1OE#=SEL 1Y1=BUS 2OE#=SEL# 2Y1=BUS ${data}`],
          U4: [known("04", { delay: 5 }), "1A=BUS"],
        },
        inputs: { DATA: { anyTime: { high: 1000, low: 1000, repeat: 2000 } } },
      }),
    );
    const found = proof.verdicts.filter(({ rule }) => rule === "contention");
    expect(Object.fromEntries(found.map(({ reference, available }) => [reference, available]))).toEqual({
      "U3 1Y1": -ns(16),
      "U3 2Y1": -ns(16),
    });
    expect(found.length).toBe(2);
  });
});
