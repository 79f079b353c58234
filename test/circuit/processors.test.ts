import { describe, expect, test } from "vitest";
import { type Circuit, formatProblem, readCircuit } from "../../src/circuit/index.js";
import { fs, inNs } from "../../src/quantity/index.js";
import { findPart, isMissing, isPartProblem } from "../../src/parts/index.js";
import { changed, lampByProcessor } from "./processor-board.js";

type Changes = readonly (readonly [from: string, to: string])[];

const problemsOf = (...changes: Changes) =>
  readCircuit(changed(lampByProcessor, ...changes), "lamp").problems.map(formatProblem);

function circuitOf(...changes: Changes): Circuit {
  const { circuit, problems } = readCircuit(changed(lampByProcessor, ...changes), "lamp");
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

/** The times of a net, in ns. */
function timesOf({ inputs, nets }: Circuit, name: string): Readonly<Record<string, number>> | undefined {
  const found = inputs.find(({ net }) => nets[net]?.name === name)?.timing;
  return (
    found &&
    Object.fromEntries(
      Object.entries(found).flatMap(([key, value]) =>
        typeof value === "number" && key !== "net" ? [[key, value / 1e6]] : [],
      ),
    )
  );
}

const strobeOf = ({ masters }: Circuit) => masters[0]?.findings.find(({ rule }) => rule === "strobe");
const findings = ({ masters }: Circuit) =>
  masters.flatMap((master) => master.findings.map(({ item, state }) => `${item} ${state}`));

/** Least and most delay of a gate of this board, over every input and edge, in ns. */
function gate(number: string): { readonly min: number; readonly max: number } {
  const { supplyVolts, ambientCelsius, unstatedMinimum } = circuitOf();
  const part = findPart(number, { supplyVolts, ambientCelsius, unstatedMinimum });
  if (isPartProblem(part)) throw new Error(part.problem);
  const delays = (["rise", "fall"] as const).flatMap((edge) =>
    (["rise", "fall"] as const).flatMap((change) => {
      const delay = part.figures.delay("1A", edge, "1Y", change);
      return isMissing(delay) ? [] : [delay];
    }),
  );
  return { min: Math.min(...delays.map(({ min }) => inNs(min))), max: Math.max(...delays.map(({ max }) => inNs(max))) };
}

describe("a processor in a circuit file", () => {
  test("is a chip like any other: its board is read without a word", () => {
    expect(problemsOf()).toEqual([]);
    const [master] = circuitOf().masters;
    expect(master?.chip.part.package.pins).toHaveLength(40);
  });

  /** Zilog PS017801-0602, grade of 6.17 MHz: TwWR = TcC - 30, TdCTr(A) = TwCl + TrC - 50, TdWRr(D) = TwCl + TrC - 55. */
  test("has its strobe behind the board's own gate, with the gate's figures and a wire", () => {
    // Oscillator cans are high for 40 to 60 %: 100 ns of 250 at least. A wire of a printed board takes 0 to 1 ns.
    const { min, max } = gate("74AC32");
    const [least, most] = [min, max + 1];
    const circuit = circuitOf();
    expect(timesOf(circuit, "WRITE#")).toEqual({
      leastHigh: tenths(500 - 70 - most + least),
      leastLow: tenths(250 - 30 - most + least),
      leastRepeat: 750,
    });
    expect(timesOf(circuit, "PA15")).toEqual({ before: tenths(600 - 90 + least), after: tenths(100 - 50 - most) });
    expect(timesOf(circuit, "PD0")).toEqual({ before: tenths(500 - 140 - 30 + least), after: tenths(100 - 55 - most) });
    expect(
      timesOf(circuitOf(["    strobe", "    cycles between writes: 11\n    strobe"]), "WRITE#")?.["leastRepeat"],
    ).toBe(2750);
  });

  test("is clocked by an oscillator of its own, and the board's times do not count from that", () => {
    const circuit = circuitOf();
    expect(timesOf(circuit, "CLOCK")).toEqual({ leastHigh: 100, leastLow: 100, leastRepeat: 250 });
    const stated = circuitOf(["    strobe", "    clock: 4 MHz, 45 to 55 % high\n    strobe"]);
    expect(timesOf(stated, "CLOCK")).toEqual({ leastHigh: 112.5, leastLow: 112.5, leastRepeat: 250 });
    const elsewhere = circuitOf(
      ["  X2: {part: OSC-4MHz, pins: {OUT: CLOCK}}\n", ""],
      ["    strobe", "    clock: 4 MHz\n    strobe"],
    );
    expect(timesOf(elsewhere, "CLOCK")).toEqual({ leastHigh: 100, leastLow: 100, leastRepeat: 250 });
  });

  test("stands with its address before WR# falls and after it rises, at the gate where they meet", () => {
    const not = gate("74AC04");
    // Address 350 - 90 ns before WR# falls; by way of an inverter and two wires. After WR# rises 50 ns.
    const before = 350 - 90 - (not.max + 2);
    const after = 50 + not.min - 1;
    expect(strobeOf(circuitOf())).toMatchObject({ state: "holds", reference: "A15", net: "WRITE#" });
    expect(inNs(strobeOf(circuitOf())?.margin ?? fs(0))).toBeCloseTo(Math.min(before, after), 3);
  });

  test("gives false pulses where the address comes through a gate that is too slow", () => {
    // 10 MHz: 40 + 100 - 65 = 75 ns from the address to WR#, by way of three inverters and four wires.
    const way = "4A: PA15, 4Y: N1, 5A: N1, 5Y: N2, 6A: N2, 6Y: HIGH#";
    const by = (inverters: string) =>
      strobeOf(
        circuitOf(
          ["part: Z84C0006", "part: Z84C0010"],
          ["OSC-4MHz", "OSC-10MHz"],
          ["part: 74AC04\n", `part: ${inverters}\n`],
          ["4A: PA15, 4Y: HIGH#, 5A: low, 5Y: open, 6A: low, 6Y: open", way],
        ),
      );
    expect(by("74AC04")?.state).toBe("holds");
    const finding = by("74HC04");
    expect(finding).toMatchObject({ state: "fails", reference: "A15" });
    expect(inNs(finding?.margin ?? fs(0))).toBeCloseTo(75 - (3 * gate("74HC04").max + 4), 3);
    expect(finding?.note).toContain("a false pulse can come");
  });

  test("has a strobe that goes the other way too, and may end with MREQ#", () => {
    const nor: Changes = [
      ["part: 74AC32", "part: 74HC02"],
      ["1A: WR#, 1B: HIGH#, 1Y: WRITE#", "1A: WR#, 1B: HIGH#, 1Y: WRITE"],
      ["strobe: WRITE#", "strobe: WRITE"],
      ["1CLK: WRITE#", "1CLK: WRITE"],
    ];
    const circuit = circuitOf(...nor);
    const [pd] = circuit.inputs.filter(({ net }) => circuit.nets[net]?.name === "PD0");
    expect(pd?.timing).toMatchObject({ kind: "steady around", edge: "fall" });
    const upright = timesOf(circuitOf(["part: 74AC32", "part: 74HC32"]), "WRITE#");
    expect(timesOf(circuit, "WRITE")?.["leastHigh"]).toBeLessThan(upright?.["leastHigh"] ?? 0);

    const gated = circuitOf(
      [
        '1B: HIGH#, 1Y: WRITE#, "2A, 2B, 3A, 3B, 4A, 4B": low, "2Y, 3Y, 4Y": open',
        '1B: HIGH#, 1Y: W1#, 2A: W1#, 2B: MREQ#, 2Y: WRITE#, "3A, 3B, 4A, 4B": low, "3Y, 4Y": open',
      ],
      ["M1#, MREQ#, ", "M1#, "],
      ["      WR#: WR#\n", "      WR#: WR#\n      MREQ#: MREQ#\n"],
    );
    // MREQ# rises with WR#, at any time up to TdCf(WRr) = 70 ns before it.
    const { min, max } = gate("74AC32");
    const spread = 2 * (max + 1 - min);
    expect(timesOf(gated, "WRITE#")?.["leastLow"]).toBeLessThanOrEqual(250 - 30 - 70);
    expect(timesOf(gated, "WRITE#")?.["leastLow"]).toBeGreaterThanOrEqual(250 - 30 - 70 - 2 * spread);
  });

  test("says what is not judged: pins without times, data that it reads, chips that it commands", () => {
    expect(findings(circuitOf())).toEqual(["WRITE# holds"]);
    const reads: Changes = [
      ["2A, 2B, 3A, 3B, 4A, 4B", "2A, 2B, 3A, 3B"],
      ['"2Y, 3Y, 4Y": open', '"2Y, 3Y": open, 4A: Q, 4B: M1, 4Y: SEEN'],
      ["M1#, MREQ#, IORQ#", "MREQ#, IORQ#"],
      ["      WR#: WR#\n", "      WR#: WR#\n      M1#: M1\n"],
      ['2CLK, 2D": low', '2CLK": DOT, 2D: SEEN'],
    ];
    expect(findings(circuitOf(...reads))).toEqual(["WRITE# holds", "M1# not covered"]);
    const commands: Changes = [
      ['2PRE#, 2CLR#": high', '2PRE#": high, 2CLR#: HALT'],
      ["RFSH#, HALT#, BUSACK#", "RFSH#, BUSACK#"],
      ["      WR#: WR#\n", "      WR#: WR#\n      HALT#: HALT\n"],
    ];
    expect(findings(circuitOf(...commands))).toEqual(["WRITE# holds", "commands U2 not covered"]);
  });
});

/** Times of the lines are rounded down to a tenth of a nanosecond. */
function tenths(nanoseconds: number): number {
  return Math.floor(nanoseconds * 10 + 1e-6) / 10;
}

describe("what a file says wrong of a processor", () => {
  const rows: readonly (readonly [what: string, said: string, ...changes: Changes])[] = [
    [
      "a pin that it has not",
      "no pin WAITT# on Z84C0006: did you mean WAIT#?",
      ["WAIT#, ", ""],
      ["      D0", "      WAITT#: high\n      D0"],
    ],
    [
      "a pin that is not given",
      "pin RESET# of U30 (Z84C0006) is not given: expected a net, high, low or open for every pin",
      [', RESET#"', '"'],
    ],
    ["its supply on 0 V", "supply pin VCC of U30 is on low: expected high", ["      D0", "      11: low\n      D0"]],
    [
      "a number that is none",
      "no part Z84C0O06 in the catalogue: did you mean Z84C0006, Z84C00 or Z84C0004?",
      ["Z84C0006", "Z84C0O06"],
    ],
    [
      "no clock",
      "nothing says at which rate U30 (Z84C0006) is clocked: expected 'clock', such as '2 MHz', or an oscillator at CLK",
      ["  X2: {part: OSC-4MHz, pins: {OUT: CLOCK}}\n", ""],
    ],
    [
      "a clock of no unit",
      "chips > U30 > clock cannot be the number 4: expected text such as '2 MHz'",
      ["    strobe", "    clock: 4\n    strobe"],
    ],
    [
      "a clock in words",
      "chips > U30 > clock: 'four MHz' is no frequency: it does not begin with a number: expected a rate, such as '2 MHz' or '4 MHz, 45 to 55 % high'",
      ["    strobe", "    clock: four MHz\n    strobe"],
    ],
    [
      "a share of a period the wrong way round",
      "'4 MHz, 60 to 40 % high' is no clock of a processor: expected a rate, such as '2 MHz' or '4 MHz, 45 to 55 % high'",
      ["    strobe", "    clock: 4 MHz, 60 to 40 % high\n    strobe"],
    ],
    [
      "a clock of once an hour",
      "'0.0003 Hz' is no clock of a processor: expected a rate, such as '2 MHz' or '4 MHz, 45 to 55 % high'",
      ["    strobe", "    clock: 0.0003 Hz\n    strobe"],
    ],
    [
      "another rate than its oscillator's",
      "the clock is '5 MHz', but X2 gives 4 MHz: expected the rate of the oscillator, or no 'clock' at all",
      ["    strobe", "    clock: 5 MHz\n    strobe"],
    ],
    [
      "a clock that is too fast",
      "no grade 'Z84C0006' of the Z84C00 runs at 20 MHz; on record: ",
      ["OSC-4MHz", "OSC-20MHz"],
    ],
    [
      "a clock of a flip-flop",
      "'clock' says something of a processor, but U2 is a 74AHCT74",
      ["74AHCT74\n", "74AHCT74\n    clock: 4 MHz\n"],
    ],
    [
      "no whole number of cycles",
      "chips > U30 > cycles between writes cannot be the number 0: expected a whole number above zero",
      ["    strobe", "    cycles between writes: 0\n    strobe"],
    ],
    [
      "a strobe on no net",
      "no chip has a pin on net WRITTE#, named under 'strobe': did you mean WRITE#?",
      ["strobe: WRITE#", "strobe: WRITTE#"],
    ],
    [
      "a rail for its strobe",
      "the rail high cannot stand under 'strobe': expected a net",
      ["strobe: WRITE#", "strobe: high"],
    ],
    [
      "several strobes",
      "'WR[0..1]' is more than one strobe: expected one net",
      ["strobe: WRITE#", 'strobe: "WR[0..1]"'],
    ],
    [
      "a strobe of another chip",
      "net HS does not come from WR# of U30: expected gates that let WR# through while the processor writes to the board",
      ["strobe: WRITE#", "strobe: HS"],
    ],
    [
      "a strobe that gates do not hold",
      "net WRITE# is not at one level while WR# of U30 is high: expected gates that hold it while WR# is high",
      ["part: 74AC32", "part: 74ACT86"],
    ],
    [
      "a strobe that is joined with itself",
      "U3 1Y joins WR# with itself on the way to the strobe: expected one way from the processor to the strobe",
      ["1B: HIGH#", '1B: "WR#"'],
      ["4Y: HIGH#", "4Y: open"],
    ],
    [
      "a strobe in a loop",
      "the strobe leads back to itself through net WRITE#: expected gates without a loop",
      ["1B: HIGH#", "1B: WRITE#"],
      ["4Y: HIGH#", "4Y: open"],
    ],
    [
      "an input on one of its nets",
      "net PD0 stands under 'inputs', but D0 of U30 is on it and gives its times: expected one of the two",
      ["chips:", "inputs: {PD0: {after: DOT rise, from: 5 ns, to: 9 ns}}\nchips:"],
    ],
  ];

  test.each(rows.map(([what, said, ...changes]) => ({ what, said, changes })))("$what", ({ said, changes }) => {
    const [only, another] = problemsOf(...changes);
    const words = only?.replace(/^lamp:\d+:\d+: /, "");
    expect(words?.slice(0, said.length)).toBe(said);
    expect(another).toBeUndefined();
  });
});
