import { describe, expect, test } from "vitest";
import { formatProblem, readCircuit } from "../../src/circuit/index.js";
import { judgeElectrical } from "../../src/electrical/index.js";
import { findPart } from "../../src/parts/index.js";
import {
  DEFAULT_WISHES,
  designOf,
  obstaclesToWriting,
  searchPlans,
  writeCircuit,
  writingProblems,
  writtenChips,
} from "../../src/planning/index.js";
import type { Design } from "../../src/planning/design.js";
import { findRaster, hertz, publishedRasters } from "../../src/raster/index.js";
import { PICTURE } from "../examples/board.js";
import { shownDots } from "../support/shown-dots.js";

function rasterNamed(name: string) {
  const found = findRaster(name);
  if (!found.found) throw new Error(`no raster ${name}`);
  return found.raster;
}

/** VESA DMT 800x600 at 60 Hz: 1056 dots of 40 MHz, here 33 cells of 32; both syncs positive. */
const wide: Design = {
  raster: rasterNamed("800x600@60"),
  oscillator: hertz(40_000_000),
  divider: 4,
  line: { active: 25, frontPorch: 1, sync: 4, backPorch: 3 },
  frame: { active: 600, frontPorch: 1, sync: 4, backPorch: 23 },
  columns: 200,
  rows: 150,
  lineRepeat: 4,
  content: { kind: "bitmap", bitsPerDot: 1 },
  memory: "62256-70",
  sharing: { kind: "write latch" },
  family: "HC",
  output: { kind: "VGA" },
  build: "breadboard",
};

const written = (design: Design) => {
  const text = writeCircuit(design, { title: "Try", about: "A try." });
  return readCircuit(text, "try.circuit.yaml", { findPart });
};

describe("a written design", () => {
  test("is complete to the pin, of parts in DIP, and shows its picture on another raster in its place, dot for dot", () => {
    const { circuit, problems } = written(wide);
    expect(problems.map(formatProblem)).toEqual([]);
    if (!circuit) throw new Error("no circuit");
    expect(circuit.chips.filter(({ part }) => !part.package.isDual)).toEqual([]);
    const ram = circuit.chips.find(({ part }) => part.behaviour.memory)?.ref ?? "";
    const place = {
      columns: 200,
      rows: 150,
      lineRepeat: 4,
      dotNs: 4000 / 40,
      dotsFromSync: 8 * (4 + 3),
      linesFromSync: 4 + 23,
    };
    const seen = shownDots(circuit, place, new Map([[ram, PICTURE]]));
    expect(seen.monitor.locked && seen.monitor.recognition.best.meets).toBe(true);
    expect(seen.monitor.locked && seen.monitor.against.raster.id).toBe(wide.raster.id);
    seen.lines.forEach((line, index) => {
      const bytes = [...PICTURE.subarray((index >> 2) * 32, (index >> 2) * 32 + 25)];
      const dots = bytes.flatMap((byte) => [...byte.toString(2).padStart(8, "0")]).map((bit) => bit.repeat(3));
      expect(line).toBe(dots.join(" "));
    });
    expect([seen.lines.length, seen.light, seen.doubts]).toEqual([600, 0, []]);
  });

  test.each([
    ["6264-55", 13, { "CE1#": "low", CE2: "high" }],
    ["628128-70", 17, { "CE1#": "low", CE2: "high" }],
    ["628512-70", 19, { "CE#": "low" }],
  ])("selects a %s for good and gives every address pin a latch and a buffer", (memory, bits, selects) => {
    const { circuit, problems } = written({ ...wide, memory });
    expect(problems.map(formatProblem)).toEqual([]);
    const ram = circuit?.chips.find(({ part }) => part.behaviour.memory);
    for (const [pin, level] of Object.entries(selects)) expect(ram?.nets.get(pin)?.name).toBe(level);
    const address = circuit?.nets.filter(({ name }) => /^MA\d+$/.test(name)) ?? [];
    expect(address.map(({ drivers }) => drivers.length)).toEqual(Array(bits).fill(2));
  });

  test("of text beside a two-phase processor in 74HC gives its quick flip-flops edges that they take", () => {
    // TI SCLS517B and SCAS538D: inputs of 74ACT want 8 ns/V or less; T2 of a 74HC175 has 9.2 with four inputs to drive.
    const { circuit } = written({
      ...wide,
      oscillator: hertz(25_175_000),
      divider: 2,
      content: { kind: "text", characterRom: "27C256-70", characterRows: 8 },
      sharing: { kind: "alternate slots", processor: "W65C02S" },
    });
    const edges = circuit && judgeElectrical(circuit).verdicts.filter(({ name }) => name.startsWith("input edge"));
    expect(edges?.length).toBeGreaterThan(10);
    expect(edges?.filter(({ state }) => state !== "holds").map(({ name }) => name)).toEqual([]);
  });

  test("of text looks the last character of a line up before the line ends", () => {
    const page: Design = {
      ...wide,
      raster: rasterNamed("dmt-0x16"),
      oscillator: hertz(16_000_000),
      divider: 1,
      line: { active: 37, frontPorch: 2, sync: 1, backPorch: 2 },
      frame: { active: 768, frontPorch: 3, sync: 7, backPorch: 12 },
      columns: 296,
      rows: 768,
      lineRepeat: 1,
      content: { kind: "text", characterRom: "27C256-70", characterRows: 8 },
      memory: "62256-8",
      sharing: { kind: "alternate slots", processor: "W65C02S" },
      family: "fast",
    };
    const { circuit } = written(page);
    if (!circuit) throw new Error("no circuit");
    // Codes are what the RAM holds; the ROM has a character of one lit row only, so that a row too far shows nothing.
    const contents = new Map(
      circuit.chips.flatMap(({ ref, part }) => {
        const { memory } = part.behaviour;
        if (!memory) return [];
        const isRam = memory.write !== undefined;
        return [[ref, Uint8Array.from({ length: 2 ** 15 }, (_, at) => (isRam || at % 8 === 3 ? 0xff : 0))] as const];
      }),
    );
    const place = {
      columns: 296,
      rows: 768,
      lineRepeat: 1,
      dotNs: 62.5,
      dotsFromSync: 8 * (1 + 2),
      linesFromSync: 7 + 12,
    };
    const seen = shownDots(circuit, place, contents);
    const lit = Array<string>(296).fill("111").join(" ");
    expect(seen.lines.slice(0, 8).map((line) => line === lit)).toEqual(
      Array.from({ length: 8 }, (_, row) => row === 3),
    );
  });

  test("of four bits a dot and fast logic gives each shift register a load of its own where a phase is short", () => {
    const four: Design = { ...wide, family: "fast", content: { kind: "bitmap", bitsPerDot: 4 }, columns: 50 };
    const loads = (oscillator: number) => {
      const { circuit } = written({ ...four, oscillator: hertz(oscillator), divider: 4 });
      const shifters = circuit?.chips.filter(({ part }) => part.number === "74ALS166") ?? [];
      return new Set(shifters.map(({ nets }) => nets.get("SH/LD#")?.name)).size;
    };
    // TI SDAS156D: 16 ns before the clock. TI SDAS198B: 74ALS109 18 ns at 50 pF; four shift registers and their wires are 78.
    expect(loads(24_000_000)).toBe(4);
    expect(loads(20_000_000)).toBe(1);
  });

  test("is refused, with the reason, where nobody knows that it would hold", () => {
    expect(writingProblems(wide)).toEqual([]);
    expect(writingProblems({ ...wide, divider: 2 })[0]).toContain("an eighth of a cell is 50.0 ns");
    expect(writingProblems({ ...wide, divider: 1, family: "fast" })[0]).toContain("an eighth of a cell is 25.0 ns");
    expect(writingProblems({ ...wide, sharing: { kind: "alternate slots", processor: "W65C02S" } })).toEqual([]);
    expect(writingProblems({ ...wide, lineRepeat: 3 })).toHaveLength(1);
    expect(() => written({ ...wide, memory: "7134-55" })).toThrow("a 7134-55 is no static RAM of eight bits");
    expect(() => written({ ...wide, memory: "6116-25" })).toThrow(
      "rows that begin at powers of two take 13 address bits",
    );
  });
});

describe("plans across the front", () => {
  const { front } = searchPlans({
    ...DEFAULT_WISHES,
    rasters: publishedRasters.filter(({ id }) => ["dmt-0x04", "dmt-0x09", "vga-0x02"].includes(id)),
    oscillators: [12.5875, 25.175, 28.322, 36, 40].map((megahertz) => hertz(megahertz * 1e6)),
    memories: ["6264-55", "62256-70", "628128-55"],
    families: ["HC"],
    sharing: ["write latch", "alternate slots"],
    bitsPerDot: [1, 2],
  });
  const writable = front.filter((plan) => obstaclesToWriting(plan).length === 0);
  const every = Math.max(1, Math.floor(writable.length / 3));
  const sample = writable.filter((_, index) => index % every === 0);

  test("become circuits without a mistake, with the chips that are told of them", () => {
    expect(sample.length).toBeGreaterThanOrEqual(3);
    expect(sample.length).toBeLessThanOrEqual(5);
    for (const plan of sample) {
      const design = designOf(plan);
      if ("notYet" in design) throw new Error(design.notYet);
      const { circuit, problems } = written(design);
      expect(problems.map(formatProblem)).toEqual([]);
      expect(circuit?.chips.length).toBe(writtenChips(plan));
    }
  });

  test("that cannot be written have a reason and no number of chips", () => {
    const nine = searchPlans({
      ...DEFAULT_WISHES,
      oscillators: [hertz(28_322_000)],
      shows: { kind: "text", characters: 40, lines: 25, characterDots: 9, characterRows: 16 },
      build: "printed board",
    }).front;
    expect(nine.length).toBeGreaterThan(0);
    expect(nine.map((plan) => obstaclesToWriting(plan).length > 0)).toEqual(nine.map(() => true));
    expect(nine.map(writtenChips)).toEqual(nine.map(() => undefined));
  });
});
