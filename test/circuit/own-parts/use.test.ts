import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type Circuit, formatProblem, ownPartsNamed, readCircuit, readOwnParts } from "../../../src/circuit/index.js";
import { judgeElectrical } from "../../../src/electrical/index.js";
import { type Part, findPart, isMissing, isPartProblem } from "../../../src/parts/index.js";
import { inNs } from "../../../src/quantity/index.js";
import { explain, prove } from "../../../src/timing/index.js";

const drawer = readFileSync(new URL("../../../examples/drawer.parts.yaml", import.meta.url), "utf8");

/** A fog bell that strikes on the first of sixteen counts, of chips from the drawer. */
const bell = (more = "") => `dotwright: 1
title: Fog bell beside the tide board
supply: 5 V ± 10 %
ambient: 0 to 50 °C
build: printed board
raster: 640x480@60
own parts: drawer.parts.yaml
${more}picture: { size: 320 x 240, hsync: HS, vsync: VS, video: BELL }
chips:
  X1: { part: OSC-8MHz, pins: { OUT: CLK } }
  U1:
    part: 74HC163
    pins: { CLK: CLK, "CLR#, LOAD#, ENP, ENT": high, "A, B, C, D": low, "Q[A..D]": "N[0..3]", RCO: open }
  U2:
    part: 74HC4078
    pins: { "A, B, C, D": "N[0..3]", "E, F, G, H": low, J: FIRST, K: open }
  U3:
    part: 74HC379
    pins: { EN#: low, CLK: CLK, 1D: FIRST, 2D: ODD, 3D: N3, 4D: N2, 1Q: B1, 2Q: HS, 3Q: VS, 4Q: open, "[1..4]Q#": open }
  U4:
    part: 74HC86
    pins: { 1A: N0, 1B: N1, 1Y: ODD, "2A, 2B, 3A, 3B, 4A, 4B": low, "2Y, 3Y, 4Y": open }
  U5:
    part: SN74ABT244N
    pins: { 1OE#: low, 1A1: B1, 1Y1: BELL, "1A[2..4], 2A[1..4]": low, 2OE#: high, "1Y[2..4], 2Y[1..4]": open }
`;

function read(text: string, own = drawer) {
  return readCircuit(text, "bell.yaml", { ownParts: { file: "drawer.parts.yaml", text: own } });
}

function lines(text: string, own = drawer): readonly string[] {
  return read(text, own).problems.map(formatProblem);
}

function circuitOf(text: string, own = drawer): Circuit {
  const { circuit, problems } = read(text, own);
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

/** The part of one chip of a bell. */
function partOf(ref: string, text = bell(), own = drawer): Part {
  const chip = circuitOf(text, own).chips.find((one) => one.ref === ref);
  if (!chip) throw new Error(`no chip ${ref}`);
  return chip.part;
}

/** An own parts file with these rows and nothing else. */
const rows = (text: string) => `dotwright parts: 1\nfigures:\n${text}`;

const sheet = "{ publisher: Fairlead Semiconductor, document: FS86 }";
const xor = (limits: string, more = "") =>
  `  - part: 74HC86\n    source: ${sheet}\n    supply: 4.5 to 5.5 V\n    load: 50 pF\n    delays: [{ from: A, to: Y, ${limits} }]\n${more}`;

const delayOf = ({ figures }: Part, from: string, to: string) => {
  const delay = figures.delay(from, "rise", to, "rise");
  if (isMissing(delay)) throw new Error(delay.missing);
  return delay;
};

const withoutDrawerParts = (text: string) =>
  text
    .replace(/ {2}U2:[\s\S]* {2}U4:/, "  U4:")
    .replace(/ {2}U5:[\s\S]*$/, "")
    .replace("1Y: ODD", "1Y: BELL")
    .replace('"2A, 2B, 3A, 3B,', '2A: N2, 3A: N3, "2B, 3B,')
    .replace('2Y, 3Y, 4Y": open', '4Y": open, 2Y: HS, 3Y: VS');

/** The bell with catalogue chips only. */
const plain = withoutDrawerParts(bell());

const catalogued = findPart("74HC86", {
  supplyVolts: { min: 4.5, max: 5.5 },
  ambientCelsius: { min: 0, max: 50 },
  unstatedMinimum: { fractionOfTypical: 0.25 },
});
if (isPartProblem(catalogued)) throw new Error(catalogued.problem);

describe("the drawer of the example", () => {
  test("has no mistake, and every figure that its chips need", () => {
    expect(lines(bell())).toEqual([]);
  });

  test("proves a board of its chips with its own figures", () => {
    const verdict = prove(circuitOf(bell())).verdicts.find(({ name }) => name === "set-up U3 1D");
    // 125 ns at 100 ppm fast; wires of at most 1 ns; 74HC163 CLK to QA 52 ns (Fairchild DS005008); 74HC4078 30 ns and
    // 20 ns of set-up, as the drawer's file states them.
    const period = 125 / 1.0001;
    expect(inNs(verdict?.margin ?? (0 as never))).toBeCloseTo(period - 1 - 52 - 1 - 30 - 1 - 20, 3);
    expect(verdict?.source).toBe(
      "Fairlead Semiconductor FS-HC379, May 1988, page 3, min85, 4.5 V, in drawer.parts.yaml",
    );
  });

  test("marks what rests on a measured figure, and on one from memory", () => {
    const { verdicts } = prove(circuitOf(bell()));
    const odd = verdicts.find(({ name }) => name === "set-up U3 2D");
    expect(odd?.restsOn).toContain("measured");
    if (!odd) throw new Error("no verdict");
    const account = explain(odd);
    expect(account.sentences.join(" ")).toContain("the builder measured: no maker promises it");
    expect(account.sources.some((source) => source.startsWith("measured on the bench, slowest"))).toBe(true);
    expect(verdicts.find(({ name }) => name === "set-up U3 1D")?.restsOn).not.toContain("measured");
    expect(delayOf(partOf("U5"), "1A1", "1Y1").source).toMatchObject({
      fromMemory: true,
      ownFile: "drawer.parts.yaml",
    });
  });

  test("is found under a maker's letters and a package's letter, like any part", () => {
    expect(partOf("U5")).toMatchObject({ number: "SN74ABT244N", family: "ABT", behaviour: { function: "244" } });
  });

  test("has the levels of the family that it is said to be like, which every source says", () => {
    const { verdicts } = judgeElectrical(circuitOf(bell()));
    const level = verdicts.find(({ name }) => name === "high level B1 HC to ABT");
    expect(level).toMatchObject({ state: "holds", required: 2_000_000 });
    expect(level?.reckoning.some(({ source }) => source?.endsWith("taken as 74F's, by the own parts file"))).toBe(true);
    const without = drawer.replace(/ +levels: 74F.*\n/, "");
    const missing = judgeElectrical(circuitOf(bell(), without)).verdicts.find(({ rule }) => rule === "level figures");
    expect(missing).toMatchObject({ name: "level figures U5 ABT", state: "not covered" });
  });

  test("gives the new function its package for the wiring list", () => {
    const { package: shape } = partOf("U2");
    expect(shape).toMatchObject({ name: "DIP-14", isDual: true, source: { ownFile: "drawer.parts.yaml" } });
    expect(shape.pins.find(({ number }) => number === 13)?.name).toBe("J");
  });
});

describe("an own figure", () => {
  test("counts before those on record, and what is not stated stays on record", () => {
    const part = partOf("U4", plain, rows(xor("-40 to 85 C: { min: 3 ns, max: 99 ns }")));
    expect(inNs(delayOf(part, "1A", "1Y").max)).toBe(99);
    expect(inNs(delayOf(part, "1A", "1Y").min)).toBe(3);
    expect(delayOf(part, "1B", "1Y")).toEqual(delayOf(catalogued, "1B", "1Y"));
    expect(delayOf(part, "1B", "1Y").source.ownFile).toBeUndefined();
  });

  test("that holds at 25 °C only is not used in a room of 0 to 50 °C, and the builder is told", () => {
    const own = rows(xor("25 C: { max: 12 ns }"));
    expect(delayOf(partOf("U4", plain, own), "1A", "1Y")).toEqual(delayOf(catalogued, "1A", "1Y"));
    expect(lines(plain, own)).toEqual([
      "bell.yaml:7:12: warning: own figures of 74HC86 do not hold for 4.5 to 5.5 V, 0 to 50 °C: A to Y (rise, fall): expected a supply and a column that cover the circuit's; what is on record is taken instead, if anything is",
    ]);
    const onTheBench = plain.replace("0 to 50 °C", "25 °C");
    expect(inNs(delayOf(partOf("U4", onTheBench, own), "1A", "1Y").max)).toBe(12);
    expect(lines(onTheBench, own)).toEqual([]);
  });

  test("of another maker than the circuit file names does not count; a measured one does", () => {
    const named = (maker: string) => plain.replace("picture:", `makers: { 74HC86: ${maker} }\npicture:`);
    const own = rows(xor("-40 to 85 C: { max: 99 ns }"));
    expect(inNs(delayOf(partOf("U4", named("Fairlead"), own), "1A", "1Y").max)).toBe(99);
    expect(inNs(delayOf(partOf("U4", named("Nexperia"), own), "1A", "1Y").max)).toBeLessThan(99);
    const measured = own.replace(sheet, "measured");
    expect(inNs(delayOf(partOf("U4", named("Nexperia"), measured), "1A", "1Y").max)).toBe(99);
  });

  test("of the least clock widths is no clock frequency: a printed one counts before their sum", () => {
    const counter = (more: string) =>
      rows(
        `  - part: 74HC163\n    source: measured\n    supply: 4.5 to 5.5 V\n    requirements:\n      - { kind: width high, pins: CLK, 0 to 70 C: 5 ns }\n      - { kind: width low, pins: CLK, 0 to 70 C: 5 ns }\n${more}`,
      );
    const period = (own: string) => {
      const figure = partOf("U1", plain, own).figures.period("CLK");
      if (isMissing(figure)) throw new Error(figure.missing);
      return figure;
    };
    expect(period(counter("")).symbol).toBe("fmax");
    expect(inNs(period(counter("")).time)).toBeGreaterThan(40);
    const printed = period(counter("      - { kind: clock frequency, pins: CLK, 0 to 70 C: 50 MHz }\n"));
    expect(inNs(printed.time)).toBe(20);
    expect(printed.source).toMatchObject({ measured: true, ownFile: "drawer.parts.yaml" });
  });

  test("at less than the standard load is raised by the family's slope, as one on record is", () => {
    const own = rows(xor("-40 to 85 C: { max: 20 ns }")).replace("50 pF", "15 pF");
    // 0.17 ns/pF over 35 pF: Texas Instruments SCLS148F and others, as data/parts/allowances.json has it.
    expect(inNs(delayOf(partOf("U4", plain, own), "1A", "1Y").max)).toBeCloseTo(20 + 0.17 * 35, 6);
  });
});

describe("an own function", () => {
  const crossed = (pins: string) => `dotwright parts: 1
functions:
  "86":
    title: four equality gates
    inputs: "[1..4]A, [1..4]B"
    outputs: "[1..4]Y"
    drives: { 1Y: "!(1A ^ 1B)", 2Y: "!(2A ^ 2B)", 3Y: "!(3A ^ 3B)", 4Y: "!(4A ^ 4B)" }
    package: { name: DIP-14, source: from memory, pins: { ${pins} } }
`;
  const order = "1A 1B 1Y 2Y 2A 2B GND 3A 3B 3Y 4Y 4A 4B VCC"
    .split(" ")
    .map((pin, i) => `${i + 1}: ${pin}`)
    .join(", ");

  test("with the number of one on record takes its place, and keeps the figures on record", () => {
    const part = partOf("U4", plain, crossed(order));
    expect(part.behaviour.title).toBe("four equality gates");
    expect(part.package.pins.find(({ number }) => number === 4)?.name).toBe("2Y");
    expect(delayOf(part, "1A", "1Y").max).toBe(delayOf(catalogued, "1A", "1Y").max);
  });
});

describe("a memory of the drawer", () => {
  const find = (more = "") => {
    const board = bell(more).replace(
      / {2}U4:[\s\S]*? {2}U5:/,
      `  U4:\n    part: FM256-45\n    pins: { A0: N0, "A[1..14]": low, "CE#, OE#": low, WE#: high, IO0: ODD, "IO[1..7]": open }\n  U5:`,
    );
    return partOf("U4", board);
  };

  test("has the times of its grade", () => {
    const part = find();
    expect(part).toMatchObject({ family: "SRAM", package: { name: "DIP-28" }, behaviour: { function: "32Kx8" } });
    expect(inNs(delayOf(part, "A0", "IO0").max)).toBe(45);
    expect(part.figures.memory("tWP")).toMatchObject({ time: 30_000_000, source: { ownFile: "drawer.parts.yaml" } });
  });
});

describe("a circuit file that names an own parts file", () => {
  test("is asked which it is before anything is read", () => {
    expect(ownPartsNamed(bell())).toBe("drawer.parts.yaml");
    expect(ownPartsNamed(bell().replace(/own parts.*\n/, ""))).toBeUndefined();
    expect(ownPartsNamed("own parts: [")).toBeUndefined();
  });

  test.each(["/etc/drawer.yaml", "C:\\drawer.yaml", "drawer.txt", "https://drawer.example/a.yaml", "''"])(
    "takes no %s: only files beside or near it",
    (path) => {
      const text = bell().replace("drawer.parts.yaml", path);
      expect(ownPartsNamed(text)).toBeUndefined();
      expect(lines(text)[0]).toMatch(/^bell\.yaml:7:12: .* is no path of an own parts file: expected a path relative/);
    },
  );

  test("says in its line why the file cannot be had", () => {
    const unreadable = { file: "drawer.parts.yaml", unreadable: "cannot be read: there is no such file" };
    const { circuit, problems } = readCircuit(bell(), "bell.yaml", { ownParts: unreadable });
    expect(circuit).toBeUndefined();
    expect(problems.map(formatProblem)[0]).toBe(
      "bell.yaml:7:12: own parts 'drawer.parts.yaml': cannot be read: there is no such file: expected an own parts file, its path relative to the circuit file",
    );
    // What the drawer may have is not said to be mistyped.
    expect(problems.map(formatProblem).slice(1)).toEqual(
      ["74HC4078", "74HC379", "SN74ABT244N"].map((part) =>
        expect.stringMatching(
          `^bell\\.yaml:\\d+:11: part ${part} is not in the catalogue, and drawer\\.parts\\.yaml, which may have it, was not read: expected that file$`,
        ),
      ),
    );
  });

  test("gets the mistakes of both files in one go, and none that only follows from them", () => {
    const broken = drawer.replace("max: 30 ns", "max: 30").replace('next: "EN# ? q1 : 1D"', 'next: "EN ? q1 : 1D"');
    const found = lines(bell().replace("1B: N1", "1C: N1"), broken);
    expect(found).toEqual([
      "bell.yaml:18:11: part 74HC379 is to come from drawer.parts.yaml, which has mistakes: expected that file without mistakes",
      expect.stringMatching(/^bell\.yaml:22:21: no pin 1C on 74HC86/),
      expect.stringMatching(
        /^drawer\.parts\.yaml:\d+:\d+: EN is neither an input pin nor a storage bit: did you mean EN#\?/,
      ),
      expect.stringMatching(
        /^drawer\.parts\.yaml:\d+:\d+: figures > 0 > delays > 0 > -40 to 85 C > max cannot be the number 30/,
      ),
    ]);
  });

  test("offers own numbers for a mistyped one", () => {
    expect(lines(bell().replace("74HC4078", "74HC4087"))[0]).toContain("did you mean 74HC4078");
  });
});

describe("the worked file of docs/own-parts.md", () => {
  const page = readFileSync(new URL("../../../docs/own-parts.md", import.meta.url), "utf8");
  const [, worked = ""] = /```yaml\n(dotwright parts: 1\n[\s\S]*?)```/.exec(page) ?? [];

  test("has no mistake and leaves no figure out", () => {
    const { problems, parts } = readOwnParts(worked, "drawer.parts.yaml");
    expect(problems.map(formatProblem)).toEqual([]);
    expect(parts).toMatchObject({ logic: [{ part: "74HC30" }, { part: "74FL77" }], memories: [{ part: "FM256-45" }] });
  });
});
