import { describe, expect, test } from "vitest";
import { judgeElectrical } from "../../src/electrical/index.js";
import { ns } from "../../src/quantity/index.js";
import { bench, inputsOn, verdictNamed } from "./bench.js";

describe("open inputs", () => {
  const open = (part: string) => bench({ chips: { U1: [part, "1A=open 1Y=OUT"], U2: ["74HCT04", "1A=OUT"] } });

  test.each(["74HC04", "74HCT04", "74AHC04", "74ACT04"])("a %s input floats", (part) => {
    const verdict = verdictNamed(open(part), "floating input U1 1A");
    expect(verdict.state).toBe("fails");
    expect(verdict.remedies[0]).toBe("1A of U1 on high or low, also where nothing looks at its gate");
  });

  test("a 74LS input reads as high", () => {
    expect(verdictNamed(open("74LS04"), "floating input U1 1A").state).toBe("holds");
  });

  test("the input of a gate that nobody uses floats as well", () => {
    const circuit = bench({ chips: { U1: ["74HC04", "1A=IN 1Y=OUT 6A=open"], U2: ["74HC04", "1A=OUT 1Y=IN"] } });
    expect(verdictNamed(circuit, "floating input U1 6A").state).toBe("fails");
  });
});

describe("a net that two three-state outputs share", () => {
  const shared = (limits: string | undefined, passives?: string) =>
    bench({
      chips: {
        U1: ["74HC125", "1OE#=A 1A=low 1Y=BUS"],
        U2: ["74HC125", "1OE#=B 1A=low 1Y=BUS"],
        U3: ["74HC04", "1A=BUS 1Y=A 2Y=B"],
      },
      ...(limits !== undefined && { limits }),
      ...(passives !== undefined && { passives }),
    });
  const name = "floating input BUS HC";

  test("keeps its level by its charge for a while: C·ΔV/I", () => {
    // From VOH 4.65 to VIH 3.325 V at 4.75 V, more than from VIL to VOL: 1.43 less 0.1 V. Two outputs off with 0.35 of
    // 20 pF each and an input of 3.5 pF, 17.5 pF, against 5, 5 and 1 µA.
    const room = 4.65 - 3.325;
    const seconds = (17.5e-12 * room) / 11e-6;
    const verdict = verdictNamed(shared("undriven: 300 ns"), name);
    expect((verdict.available ?? 0) / 1e15).toBeCloseTo(seconds, 9);
    expect(verdict).toMatchObject({ state: "holds", required: ns(300) });
    expect(verdictNamed(shared("undriven: 50 us"), name).state).toBe("fails");
  });

  test("is held to what the proof found, where that is known", () => {
    const undrivenFor = new Map([["BUS", ns(40)]]);
    const { verdicts } = judgeElectrical(shared("undriven: 50 us"), { undrivenFor });
    expect(verdicts.find((verdict) => verdict.name === name)).toMatchObject({ state: "holds", required: ns(40) });
  });

  test("is not covered where neither the file nor the proof says for how long nobody drives it", () => {
    const verdict = verdictNamed(shared(undefined), name);
    expect(verdict.state).toBe("not covered");
    expect(verdict.remedies.join()).toContain("undriven");
  });

  test("is no matter with a pull-up", () => {
    const circuit = shared(undefined, "R1: {value: 10 kohm, between: [BUS, high]}");
    expect(judgeElectrical(circuit).verdicts.filter(({ rule }) => rule === "floating input")).toEqual([]);
  });
});

describe("edges", () => {
  test("of a loaded 74HC output are too slow for 74ACT, whose inputs want 8 ns per volt", () => {
    const edge = (count: number) => {
      const chips = {
        D1: ["74HC04", "1Y=NET"],
        A1: ["74ACT04", "1A=NET"],
        ...inputsOn("NET", count, "74HC04"),
      } as const;
      return verdictNamed(bench({ chips }), "input edge NET HC to ACT");
    };
    // 19 ns over 80 % of 4.5 V at 50 pF.
    expect(edge(1).required).toBe(Math.round(19e6 / 3.6));
    expect(edge(1).state).toBe("holds");
    expect(edge(8).state).toBe("fails");
    expect(edge(8).remedies[0]).toContain("Schmitt");
  });

  test("into a Schmitt input may be as slow as they like", () => {
    const circuit = bench({ chips: { D1: ["74HC04", "1Y=NET"], A1: ["74ACT14", "1A=NET"] } });
    expect(judgeElectrical(circuit).verdicts.filter(({ rule }) => rule === "input edge")).toEqual([]);
  });
});

test("an oscillator can drives the 50 pF of its sheet and no more", () => {
  const load = (count: number) =>
    verdictNamed(
      bench({ chips: { X1: ["OSC-8MHz", "OUT=CLOCK"], ...inputsOn("CLOCK", count, "74HC04") } }),
      "load capacitance CLOCK oscillator",
    );
  // Inputs of 10 pF, and 15 cm of wire and 2 cm from pin to pin at 80 pF a metre.
  expect(load(3).required).toBe(30_000 + 12_000 + 2 * 1600);
  expect(load(3).state).toBe("holds");
  expect(load(4).state).toBe("fails");
});

test("an oscillator can counts TTL inputs where there are no others", () => {
  const load = (count: number) =>
    verdictNamed(
      bench({ chips: { X1: ["OSC-8MHz", "OUT=CLOCK"], ...inputsOn("CLOCK", count, "74HCT04") } }),
      "load capacitance CLOCK oscillator",
    );
  expect(load(10)).toMatchObject({ quantity: "count", state: "holds", margin: 0 });
  expect(load(11).state).toBe("fails");
});
