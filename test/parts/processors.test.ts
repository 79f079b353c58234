import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { readCircuit } from "../../src/circuit/index.js";
import {
  type Processor,
  type ProcessorBus,
  type ProcessorGrade,
  type ProcessorInput,
  type ProcessorUse,
  inputsText,
  isProcessorProblem,
  listPartNumbers,
  processorBus,
  processorNamed,
  processorPart,
  processors,
} from "../../src/parts/index.js";
import { expandRange } from "../../src/parts/behaviours/define.js";
import { parseSum, sumOf, writtenOut } from "../../src/parts/sum-of-times.js";
import { ns, parseHertz, range, valueOf } from "../../src/quantity/index.js";

const clock = (text: string) => valueOf(parseHertz(text));
const symmetric = range(0.5, 0.5);
const gate = range(ns(1.5), ns(9));

function bus(name: string, rate: string, use: Partial<ProcessorUse> = {}): ProcessorBus {
  const found = processorBus(name, { clock: clock(rate), at: { gate }, ...use });
  if (isProcessorProblem(found)) throw new Error(found.problem);
  return found;
}

function problem(name: string, rate: string, use: Partial<ProcessorUse> = {}): string {
  const found = processorBus(name, { clock: clock(rate), at: { gate }, ...use });
  return isProcessorProblem(found) ? `${found.problem} ${found.suggestions.join(", ")}`.trim() : "no problem";
}

const eachGrade = processors.flatMap((one) =>
  one.grades.map((grade) => [`${one.name} ${grade.name}`, one, grade] as const),
);
/** The times of a grade as its sheet has them, at the shortest cycle that it prints. */
const printed = ({ clock: { cycle } }: Processor, { times }: ProcessorGrade) =>
  new Map([...Object.entries(times), ["T", times[cycle] ?? Number.NaN]]);

describe("the processors on record", () => {
  test("each have a source, grades with a supply and a rate that their cycle allows, and all pins of their package", () => {
    for (const { name, source, package: shape, grades, clock: given } of processors) {
      expect([name, source.publisher !== "" && source.document !== ""]).toEqual([name, true]);
      const places = Number(/\d+$/.exec(shape.name)?.[0]);
      expect(Object.keys(shape.pins).map(Number)).toEqual(Array.from({ length: places }, (_, i) => i + 1));
      const names = Object.values(shape.pins);
      for (let n = 0; n < 16; n++) expect(names.filter((pin) => pin === `A${n}`)).toHaveLength(1);
      for (let n = 0; n < 8; n++) expect(names.filter((pin) => pin === `D${n}`)).toHaveLength(1);
      expect(names).toContain(given.pin);
      for (const { supply, megahertz, times } of grades) {
        expect(supply[0]).toBeLessThan(supply[1]);
        // Rates are printed rounded: 6 MHz for 165 ns, 3 MHz for 333 ns, 14 MHz for 70 ns.
        expect(1000 / megahertz / (times[given.cycle] ?? 0)).toBeCloseTo(1, 1);
      }
    }
  });

  test("are found by their other names too", () => {
    expect(processorNamed("65c02")?.name).toBe("W65C02S");
    expect(processorNamed("Z80")?.name).toBe("Z84C00");
    expect(processorNamed("Z81")).toBeUndefined();
  });

  test("are parts, each grade with a number of its own too, with a role for every pin that is connected", () => {
    const numbers = listPartNumbers().filter((number) => processorPart(number));
    expect(numbers).toEqual(expect.arrayContaining(["W65C02S", "Z84C0008", "Z8400H", "MC68A09", "MC68008"]));
    for (const number of numbers) {
      const part = processorPart(number);
      const roles = new Map(part?.behaviour.pins.map(({ name, role }) => [name, role]));
      const placed = part?.package.pins.map(({ name }) => name) ?? [];
      expect([number, placed.filter((name) => !roles.has(name))]).toEqual([number, []]);
      expect([number, [...roles.keys()].filter((name) => !placed.includes(name))]).toEqual([number, []]);
    }
    expect(processorPart("Z84C0008")?.processor?.grade?.megahertz).toBe(8);
    expect(processorPart("z80")?.processor?.record.name).toBe("Z84C00");
  });

  test("name pins of their own, and outputs only, where their lines, strobes and waits speak of pins", () => {
    for (const { name, lines, strobe, gating, wait, releasedBy, clock } of processors) {
      const roles = new Map(processorPart(name)?.behaviour.pins.map((pin) => [pin.name, pin.role]));
      const rolesOf = (pins: string) =>
        pins
          .split(" ")
          .flatMap(expandRange)
          .map((pin) => roles.get(pin));
      const spoken = [...lines, ...strobe, ...gating.selects].flatMap(({ pins }) => pins ?? []);
      const driven = spoken.filter((pins) => pins !== clock.fedAt).flatMap(rolesOf);
      expect([name, driven.filter((role) => role !== "output" && role !== "in-out")]).toEqual([name, []]);
      expect([
        name,
        [wait.pin, clock.fedAt, ...releasedBy].flatMap(rolesOf).filter((role) => role !== "input"),
      ]).toEqual([name, []]);
    }
  });

  test("say what each of the sheets' symbols means", () => {
    for (const { symbols, grades } of processors) {
      const used = grades.flatMap(({ times }) => Object.keys(times)).filter((symbol) => !/^x[A-Z]/.test(symbol));
      expect(used.filter((symbol) => symbols[symbol] === undefined)).toEqual([]);
    }
  });

  test("say of every figure recalled that it was", () => {
    expect(processors.filter((one) => one.fromMemory).map((one) => one.name)).toEqual(["R6502", "MC6809", "MC68008"]);
  });

  test.each(eachGrade)("%s keeps the cycle that its high and low times make up", (_, processor, { times }) => {
    const { cycle, high, low } = processor.clock;
    const fedIn = printed(processor, { name: "", supply: [0, 0], megahertz: 0, times });
    fedIn.set("Hin", (times[cycle] ?? 0) / 2).set("Lin", (times[cycle] ?? 0) / 2);
    expect(sumOf(high, fedIn) + sumOf(low, fedIn)).toBeLessThanOrEqual(times[cycle] ?? 0);
  });

  test.each(eachGrade)("%s at its printed rate gives lines for its pins and for a strobe", (_, processor, grade) => {
    const rate = { numerator: BigInt(Math.floor(grade.megahertz * 1e6)), denominator: 1n };
    // A clock as unsymmetric as the sheet allows just.
    const { high, low, from, cycle } = processor.clock;
    const share = from === "outside" ? (grade.times[high] ?? 0) / (grade.times[cycle] ?? 1) : 0.5;
    const rest = from === "outside" ? 1 - (grade.times[low] ?? 0) / (grade.times[cycle] ?? 1) : 0.5;
    const duty = range(Math.min(share, rest), Math.max(share, rest));
    for (const at of ["pins", { gate: range(ns(0), ns(0)) }] as const) {
      const found = processorBus(processor.name, { clock: rate, at, duty, grade: grade.name });
      expect(isProcessorProblem(found) ? found.problem : found.inputs.length).toBeGreaterThanOrEqual(3);
    }
  });
});

describe("what the sheets print besides", () => {
  test.each([
    // WDC 2018, table 6-3: tACC at 5 V and at 3.3 V.
    ["W65C02S", "5 V", "T - tADS - tDSU", 30],
    ["W65C02S", "3.3 V", "T - tADS - tDSU", 70],
    // Rockwell data book p. 1-17: tACC.
    ["R65C02", "1 MHz", "T - tADS - tDSU", 775],
    ["R65C02", "2 MHz", "T - tADS - tDSU", 340],
    // Zilog PS017801: TdD(WRf), TwWR, TdWRr(D), TdCTr(A).
    ["Z84C00", "Z84C0004", "T - xDW", 80],
    ["Z84C00", "Z84C0006", "T - xDW", 22],
    ["Z84C00", "Z84C0008", "T - xDW", 5],
    ["Z84C00", "Z84C0010", "T - xDW", 40],
    ["Z84C00", "Z84C0020", "T - xDW", -10],
    ["Z84C00", "Z84C0006", "T - xWR", 132],
    ["Z84C00", "Z84C0010", "T - xWR", 75],
    ["Z84C00", "Z84C0010", "TwCl + TrC - xD", 10],
    ["Z84C00", "Z84C0010", "TwCl + TrC - xA", 20],
    ["Z84C00", "Z84C0008", "TwCl + TrC - xD", 15],
    // The time from the address to the opcode, 2 TcC - TdCr(A) - TsD(Cr).
    ["Z84C00", "Z84C0010", "2 T - TdCr_A - TsD_Cr", 110],
  ])("of the %s %s comes out of the formulas: %s is %d ns", (name, gradeName, sum, expected) => {
    const processor = processorNamed(name);
    const grade = processor?.grades.find((one) => one.name === gradeName);
    if (!processor || !grade) throw new Error(`no ${name} ${gradeName}`);
    expect(sumOf(sum, printed(processor, grade))).toBe(expected);
  });

  test("differs from the sum by a clock edge at two rates: the R65C02 prints more than it, the R6502 less", () => {
    const access = (name: string, gradeName: string) => {
      const grade = processorNamed(name)?.grades.find((one) => one.name === gradeName);
      const { tCYC = 0, tADS = 0, tDSU = 0, tACC = 0 } = grade?.times ?? {};
      return tACC - (tCYC - tADS - tDSU);
    };
    expect(access("R65C02", "3 MHz")).toBe(7);
    expect(access("R65C02", "4 MHz")).toBe(10);
    expect(access("R6502", "1 MHz")).toBe(-25);
  });
});

describe("a processor at a clock rate", () => {
  test("gives the strobe behind its gate, address and data about the strobe's end, with the arithmetic", () => {
    // 500 ns with 0.4 to 0.6 high: 200 ns high and low at least; WDC: tADS 30, tMDS 25, hold 10 ns.
    expect(inputsText(bus("65C02", "2 MHz", { cyclesBetweenWrites: 5, grade: "5 V" }))).toBe(`inputs:
  # high L - gate + gate_min = 200 - 9 + 1.5; low H - gate + gate_min = 200 - 9 + 1.5; repeat W
  WR#: { any time: { high: 192.5 ns, low: 192.5 ns, repeat: 2.5 us } }
  # before T - tADS + gate_min = 500 - 30 + 1.5; after tHA - gate = 10 - 9
  PA[0..15]: { steady around: WR# rise, before: 471.5 ns, after: 1 ns }
  # before H - tMDS + gate_min = 200 - 25 + 1.5; after tHW - gate = 10 - 9
  PD[0..7]: { steady around: WR# rise, before: 176.5 ns, after: 1 ns }
`);
  });

  test("gives its pins about the clock that they follow", () => {
    expect(inputsText(bus("R65C02", "1 MHz", { at: "pins", duty: symmetric, grade: "1 MHz" }))).toBe(`inputs:
  # high H; low L; repeat T
  PHI2: { any time: { high: 450 ns, low: 430 ns, repeat: 1 us } }
  # from tHRW; to tRWS
  RW#: { after: PHI2 fall, from: 15 ns, to: 125 ns }
  # from tHA; to tADS
  PA[0..15]: { after: PHI2 fall, from: 15 ns, to: 125 ns }
  # before H - tMDS = 450 - 200; after tHW
  PD[0..7]: { steady around: PHI2 fall, before: 250 ns, after: 30 ns }
`);
  });

  test("is taken at the slowest grade that its clock and supply allow", () => {
    expect(bus("Z80", "4 MHz", { duty: symmetric }).grade.name).toBe("Z84C0004");
    expect(bus("Z80", "4.1 MHz", { duty: symmetric }).grade.name).toBe("Z84C0006");
    // The 4 MHz grade asks 110 ns of high time, more than 0.4 of 250 ns.
    expect(bus("Z80", "4 MHz").grade.name).toBe("Z84C0006");
    expect(bus("65C02", "2 MHz", { supplyVolts: 3.3 }).grade.name).toBe("3.3 V");
    expect(bus("R65C02", "2.5 MHz").grade.name).toBe("3 MHz");
  });

  test("never gives more time at a faster clock", () => {
    for (const { name } of processors) {
      const rates = [0.25, 0.5, 0.8, 1];
      for (const at of ["pins", { gate }] as const) {
        const runs = rates.map((rate) => {
          const fastest = processorNamed(name)?.grades.at(-1);
          return bus(name, `${rate} MHz`, { at, ...(fastest && { grade: fastest.name }), duty: symmetric }).inputs;
        });
        const leasts = runs.map((inputs) =>
          inputs.flatMap((input) =>
            input.timing === "any time"
              ? [input.high.time, input.low.time, input.repeat.time]
              : input.timing === "steady around"
                ? [input.before.time, input.after.time]
                : [0 - input.to.time, input.from.time],
          ),
        );
        for (const [i, faster] of leasts.slice(1).entries()) {
          const more = faster.filter((time, place) => time > (leasts[i]?.[place] ?? 0));
          expect([name, more]).toEqual([name, []]);
        }
      }
    }
  });

  test.each([
    [
      "too fast a clock",
      "R65C02",
      "5 MHz",
      {},
      "no grade for 5 V of the R65C02 runs at 5 MHz; on record: 1 MHz (1 MHz, 4.75 to 5.25 V)",
    ],
    ["no such grade", "R65C02", "1 MHz", { grade: "9 MHz" }, "no grade '9 MHz' of the R65C02"],
    [
      "too unsymmetric a clock",
      "W65C02S",
      "14 MHz",
      {},
      "PHI2 is high for 28.571 ns at least with a duty of 40 to 60 %",
    ],
    ["a strobe that a gate must make", "65C02", "1 MHz", { at: {} }, "has no write strobe of its own"],
    [
      "a gate slower than the pulse",
      "65C02",
      "14 MHz",
      { duty: symmetric, at: { gate: range(ns(1), ns(40)) } },
      "nothing is left of WR# (L - gate + gate_min = 35.714 - 40 + 1 ns)",
    ],
    ["an unknown name", "65C03", "1 MHz", {}, "no processor 65C03 on record 65C02"],
  ] as const)("is refused for %s", (_, name, rate, use, words) => {
    expect(problem(name, rate, use)).toContain(words);
  });

  test("stands in a circuit file as printed: the lines are read, with the same times", () => {
    for (const { name } of processors) {
      for (const at of ["pins", { gate }] as const) {
        const found = bus(name, "1 MHz", { at, duty: symmetric });
        const { circuit, problems } = readCircuit(onInverters(found), "inputs.circuit.yaml");
        // The board has neither picture nor oscillator, which are warnings.
        expect([name, problems.filter(({ severity }) => severity === "error")]).toEqual([name, []]);
        const timings = found.inputs.flatMap((input) => netsOf(input.nets).map(() => timingOf(input)));
        expect(circuit?.inputs.map(({ timing: { ...timing } }) => ({ ...timing, net: undefined }))).toEqual(timings);
      }
    }
  });
});

/** The members of `PA[0..15]`; the name itself where it is no range. */
function netsOf(names: string): readonly string[] {
  const [, head = "", last] = /^(.*)\[0\.\.(\d+)\]$/.exec(names) ?? [];
  return last === undefined ? [names] : Array.from({ length: Number(last) + 1 }, (_, n) => `${head}${n}`);
}

/** A circuit that does nothing but receive the processor's nets. */
function onInverters(found: ProcessorBus): string {
  const nets = found.inputs.flatMap((input) => netsOf(input.nets));
  const chips = Array.from({ length: Math.ceil(nets.length / 6) }, (_, chip) => {
    const pins = [1, 2, 3, 4, 5, 6].map((n) => `${n}A: ${nets[6 * chip + n - 1] ?? "low"}, ${n}Y: open`);
    return `  U${chip + 1}: { part: 74HC04, pins: { ${pins.join(", ")} } }`;
  });
  const header = ["dotwright: 1", "title: A bus", "supply: 5 V", "ambient: 25 °C", "build: breadboard"];
  return [...header, "raster: 640x480@60", inputsText(found), "chips:", ...chips, ""].join("\n");
}

/** As the circuit reader gives it, the net referred to left out. */
function timingOf(input: ProcessorInput): object {
  switch (input.timing) {
    case "any time":
      return {
        kind: "any time",
        leastHigh: input.high.time,
        leastLow: input.low.time,
        leastRepeat: input.repeat.time,
        net: undefined,
      };
    case "steady around":
      return {
        kind: "steady around",
        net: undefined,
        edge: input.reference.split(" ")[1],
        before: input.before.time,
        after: input.after.time,
      };
    case "after":
      return {
        kind: "after",
        net: undefined,
        edge: input.reference.split(" ")[1],
        delay: range(input.from.time, input.to.time),
      };
  }
}

describe("a sum of times", () => {
  const times = new Map([
    ["T", 100],
    ["tX", 7.5],
    ["low", -3],
  ]);

  test("has terms with factors and signs", () => {
    expect(sumOf("2 T - 0.5 tX + 3", times)).toBe(199.25);
    expect(writtenOut("2 T - tX + low", times)).toBe("2 T - tX + low = 200 - 7.5 + (-3)");
    expect(writtenOut("tX", times)).toBe("tX");
  });

  test.each(["", "T T", "T -", "2 * T", "T + (tX)"])("is not '%s'", (text) => {
    expect(() => parseSum(text)).toThrow(SyntaxError);
  });

  test("with a time that is not on record is refused, never taken as zero", () => {
    expect(() => sumOf("T - tY", times)).toThrow("no time tY");
  });
});

test("docs/processors.md prints what comes of the figures on record", () => {
  const text = readFileSync("docs/processors.md", "utf8");
  const blocks = [...text.matchAll(/^### (\S+) at (\S+ MHz)(.*)\n[^`]*```yaml\n([^`]*)```/gm)];
  expect(blocks.length).toBeGreaterThanOrEqual(1);
  for (const [, name = "", rate = "", how = "", block = ""] of blocks) {
    const cycles = Number(/every (\d+) cycles/.exec(how)?.[1]);
    const [, least, most] = /(\d+) to (\d+) % high/.exec(how) ?? [];
    const duty = range(Number(least ?? 40) / 100, Number(most ?? 60) / 100);
    const at = processorNamed(name)?.needsGate ? { gate } : {};
    expect(block).toBe(inputsText(bus(name, rate, { at, duty, cyclesBetweenWrites: cycles })));
  }
  for (const { name } of processors) expect(text).toContain(name);
  // What it shows of the example stands there.
  const [shown = ""] = /(?<=```yaml\n)X2:[^`]*/.exec(text) ?? [];
  const example = readFileSync("examples/harbour-lamps.circuit.yaml", "utf8")
    .split("\n")
    .map((line) => line.trim());
  expect(
    shown
      .trim()
      .split("\n")
      .filter((line) => !example.includes(line.trim())),
  ).toEqual([]);
  expect(shown.split("\n").length).toBeGreaterThan(10);
});
