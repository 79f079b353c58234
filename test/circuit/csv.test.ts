import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Net, csvToYaml, formatProblem, readCsv, writeCsv } from "../../src/circuit/index.js";
import { DEFAULT_UNSTATED_MINIMUM, findPart, isPartProblem } from "../../src/parts/index.js";
import { range } from "../../src/quantity/index.js";
import { circuitOf, lamp, lines, netOf, pinsOf, read } from "./harbour.js";

/** Nets by name with their pins in order, for comparing circuits. */
function shapeOf(nets: readonly Net[]): Record<string, readonly string[]> {
  const pins = ({ drivers, receivers }: Net) => [...new Set([...pinsOf(drivers), ...pinsOf(receivers)])].sort();
  return Object.fromEntries(nets.map((net) => [net.name, pins(net)]));
}

function problemsOf(text: string): readonly string[] {
  return lines(readCsv(text, "board.csv").problems);
}

describe("a wiring list", () => {
  test("has one line for each pin", () => {
    expect(writeCsv(circuitOf(lamp)).split("\n").slice(0, 4)).toEqual([
      "chip,part,pin,net",
      "X1,OSC-25.175MHz,OUT,DOT",
      "U1,74HC04,1A,DOT",
      "U1,74HC04,2A,DOT",
    ]);
  });

  test("says of every signal pin what it is on, rails and open pins included", () => {
    const rows = writeCsv(circuitOf(lamp)).trimEnd().split("\n");
    expect(rows).toHaveLength(1 + 1 + 12);
    expect(rows).toContain("U1,74HC04,4A,low");
    expect(rows).toContain("U1,74HC04,4Y,open");
  });

  test("reads in any order of columns and lines, with the part in one line of a chip", () => {
    const { wiring } = readCsv(
      `net,pin,chip,part,remark
DOT,1,U1,,
low,2A,U1,74HC04,"two, with a ""comma"""
open,"1Y, 2Y",U1,,
DOT,OUT,X1,OSC-12MHz,
low,"[3..6]A",U1,,
open,[3..6]Y,U1,,`,
      "board.csv",
    );
    expect(shapeOf(wiring?.nets ?? [])).toEqual({
      low: ["U1 2A", "U1 3A", "U1 4A", "U1 5A", "U1 6A"],
      high: [],
      DOT: ["U1 1A", "X1 OUT"],
    });
  });

  test.each([
    [";", "\n"],
    ["\t", "\n"],
    [",", "\r\n"],
    [",", "\r"],
  ])("reads with %j between cells and %j between lines", (separator, end) => {
    const text = writeCsv(circuitOf(lamp)).replaceAll(",", separator).replaceAll("\n", end);
    const { wiring, problems } = readCsv(`\uFEFF${text}`, "board.csv");
    expect(problems.filter(({ severity }) => severity === "error")).toEqual([]);
    expect(shapeOf(wiring?.nets ?? [])).toEqual(shapeOf(circuitOf(lamp).nets));
  });

  test("leaves open where a net comes from when no chip drives it", () => {
    const { wiring, problems } = readCsv(
      "chip,part,pin,net\nU1,74HC04,[1..6]A,BELL\nU1,74HC04,[1..6]Y,open\n",
      "b.csv",
    );
    expect(problems).toEqual([]);
    expect(wiring?.nets.find(({ name }) => name === "BELL")?.toCome).toBe(true);
  });
});

describe("mistakes in a wiring list get the lines that they get in a circuit file", () => {
  const rest = "U1,74HC04,[2..6]A,low\nU1,74HC04,[1..6]Y,open\n";
  test.each([
    [
      "a column is missing",
      "chip,pin\nU1,1A\n",
      "1:1: the first line names no column net: expected the columns chip, part, pin and net, in any order",
    ],
    [
      "a cell is missing",
      `chip,part,pin,net\nU1,74HC04,1A,low\nU1,74HC04\n${rest}`,
      "3:1: this line has 2 cells: expected 4, as in the first line",
    ],
    [
      "the net is missing",
      `chip,part,pin,net\nU1,74HC04,1A,low\nU1,74HC04,1A,\n${rest}`,
      "3:1: the net is missing in this line: expected a net, high, low or open",
    ],
    [
      "the part is missing",
      "chip,part,pin,net\nU1,,1A,low\n",
      "2:1: no line says which part U1 is: expected its part number in one of its lines",
    ],
    [
      "a chip is two parts",
      `chip,part,pin,net\nU1,74HC00,1A,low\n${rest.replace("[2..6]A", "1B")}`,
      "3:4: chip U1 is a 74HC04 here and a 74HC00 above",
    ],
    [
      "the part is unknown",
      "chip,part,pin,net\nU1,74HC0404,1A,low\n",
      "2:4: no function 0404 in the catalogue: did you mean 74HC00, 74HC04 or 74HC240?",
    ],
    [
      "the pin is unknown",
      `chip,part,pin,net\nU1,74HC04,1Z,low\n${rest}`,
      "2:11: no pin 1Z on 74HC04: did you mean 1A?",
    ],
    [
      "a pin is missing",
      `chip,part,pin,net\n${rest}`,
      "2:1: pin 1A of U1 (74HC04) is not given: expected a net, high, low or open for every pin",
    ],
    [
      "a pin is there twice",
      `chip,part,pin,net\nU1,74HC04,1A,low\n${rest}U1,74HC04,1A,low\n`,
      "5:11: pin 1A of U1 is already on a net in line 2",
    ],
    [
      "a bus has the wrong width",
      `chip,part,pin,net\nU1,74HC04,1A,"B[0..2]"\n${rest}`,
      "2:14: 1 pin on 3 nets: expected one net, or as many as pins",
    ],
    [
      "a quote stays open",
      'chip,part,pin,net\n"U1,74HC04,1A,low\n',
      '2:1: this quote is not closed: expected a second "',
    ],
    [
      "an output is on a rail",
      `chip,part,pin,net\nU1,74HC04,1A,low\n${rest.replace("open", "high")}`,
      "4:11: output 1Y of U1 is tied to the rail high: expected a net of its own, or open",
    ],
  ])("%s", (_, text, line) => {
    expect(problemsOf(text)).toContain(`board.csv:${line}`);
    expect(readCsv(text, "board.csv").wiring).toBeUndefined();
  });
});

describe("a wiring list becomes the skeleton of a circuit file", () => {
  test("that reads without errors", () => {
    const { yaml = "" } = csvToYaml(writeCsv(circuitOf(lamp)), "boards/harbour lamp.csv");
    const { circuit, problems } = read(yaml);
    expect(problems.filter(({ severity }) => severity === "error").map(formatProblem)).toEqual([]);
    expect(circuit?.title).toBe("harbour lamp");
  });

  test("with nets that no chip drives to come, to be described as inputs", () => {
    const { yaml = "" } = csvToYaml("chip,part,pin,net\nU1,74HC04,[1..6]A,null\nU1,74HC04,[1..6]Y,open\n", "b.csv");
    const circuit = circuitOf(yaml);
    expect(circuit.toCome).toEqual([netOf(circuit, "null").id]);
  });

  test("but not when there are errors", () => {
    expect(csvToYaml("chip,part,pin,net\nU1,74HC04,1Z,low\n", "b.csv").yaml).toBeUndefined();
  });

  test("and chips on a further supply stay on it", () => {
    const supplies = [{ name: "3V3", volts: { min: 3.135, max: 3.465 } }];
    const text = `chip,part,pin,net\nU1,74HC04,[1..6]A,3V3\nU1,74HC04,[1..6]Y,open\nU1,74HC04,VCC,3V3\n`;
    const { yaml = "" } = csvToYaml(text, "b.csv", { supplies });
    const circuit = circuitOf(yaml);
    expect(circuit.chips[0]?.supply).toEqual(supplies[0]);
    expect(writeCsv(circuit)).toContain("U1,74HC04,VCC,3V3\n");
  });
});

interface RandomChip {
  readonly part: string;
  /** One number for each pin, which decides what the pin is on. */
  readonly choices: readonly number[];
}

const randomChip: fc.Arbitrary<RandomChip> = fc.record({
  part: fc.constantFrom("74HC04", "74HC08", "74HC163", "74HC574", "74HC245", "74HC244", "62256-70"),
  choices: fc.array(fc.nat(), { minLength: 32, maxLength: 32 }),
});

/** A file of chips whose outputs have nets of their own or are open, and whose inputs read any output, rail or input. */
function boardFile(chips: readonly RandomChip[]): string {
  const parts = chips.map(({ part, choices }, index) => ({ ref: `U${index}`, part, choices, pins: pinsOfPart(part) }));
  const outputs = parts.flatMap(({ ref, pins }) =>
    pins.filter(({ role }) => role !== "input").map(({ name }) => `${ref}_${name.replace("#", "N")}`),
  );
  const sources = [...outputs, "high", "low", "true", "E1", "PA0", "PA1", "WR#"];
  const file = parts.map(({ ref, part, choices, pins }) => {
    const rows = pins.map(({ name, role }, index) => {
      const choice = choices[index] ?? 0;
      const own = choice % 3 === 0 ? "open" : `${ref}_${name.replace("#", "N")}`;
      const net = role === "input" ? (sources[choice % sources.length] ?? "low") : own;
      return `      "${name}": "${net}"\n`;
    });
    return `  ${ref}:\n    part: ${part}\n    pins:\n${rows.join("")}`;
  });
  const text = `dotwright: 1\ntitle: Random\nraster: 640x480@60\nchips:\n${file.join("")}`;
  // What nothing drives in the end, because the output that it was to read is open or disabled, is to come.
  const undriven = read(text).problems.flatMap(({ message }) => {
    const [, nothing, never] = /^nothing drives nets? (\S+?),? which|^net (\S+) is never driven/.exec(message) ?? [];
    return nothing ?? never ?? [];
  });
  return undriven.length === 0 ? text : `${text}to come: "${undriven.join(", ")}"\n`;
}

function pinsOfPart(part: string) {
  const found = findPart(part, {
    supplyVolts: range(4.5, 5.5),
    ambientCelsius: range(0, 70),
    unstatedMinimum: DEFAULT_UNSTATED_MINIMUM,
  });
  if (isPartProblem(found)) throw new Error(found.problem);
  return found.behaviour.pins.filter(({ role }) => role === "input" || role === "output" || role === "in-out");
}

test("every circuit has the same nets after YAML to CSV to YAML", () => {
  fc.assert(
    fc.property(fc.array(randomChip, { minLength: 1, maxLength: 6 }), (chips) => {
      const first = circuitOf(boardFile(chips));
      const { yaml = "", problems } = csvToYaml(writeCsv(first), "board.csv");
      expect(problems.filter(({ severity }) => severity === "error")).toEqual([]);
      const second = circuitOf(yaml);
      expect(shapeOf(second.nets)).toEqual(shapeOf(first.nets));
      expect(second.chips.map(({ ref, part }) => [ref, part.number])).toEqual(
        first.chips.map(({ ref, part }) => [ref, part.number]),
      );
      expect(second.chips.map(({ open }) => [...open].sort())).toEqual(first.chips.map(({ open }) => [...open].sort()));
      expect(writeCsv(second)).toBe(writeCsv(first));
    }),
    { numRuns: 200 },
  );
});
