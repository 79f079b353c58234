import { describe, expect, test } from "vitest";
import { DEFAULT_WISHES, type Wishes, searchPlans, totalOf } from "../../src/planning/index.js";
import { hertz, inHertz } from "../../src/raster/index.js";

/**
 * Video circuits on record: with their oscillator and their picture as wishes, the search finds the dots of a line and the
 * lines of a frame that were published.
 */
interface Published {
  readonly source: string;
  readonly wishes: Partial<Wishes>;
  /** Cells of a line, dots of a line, lines of a frame. */
  readonly cells: number;
  readonly dots: number;
  readonly lines: number;
  /** Of the line and the frame, where the source states them, with what it rounds to. */
  readonly kilohertz?: readonly [rate: number, digits: number];
  readonly fieldHertz?: readonly [rate: number, digits: number];
}

const television = { deviationPercent: 1, composite: true } as const;
const picture = (width: number, height: number) => ({ shows: { kind: "picture", width, height } as const });

const published: readonly Published[] = [
  {
    source: "HelpPC 6845 register table, 80 columns: R0 = 113, R4 = 31, R5 = 6, R9 = 7, eight dots a character",
    wishes: { ...television, oscillators: [hertz(14_318_180)], ...picture(640, 200), bitsPerDot: [1] },
    cells: 114,
    dots: 912,
    lines: 262,
    kilohertz: [15.7, 1],
  },
  {
    source: "HelpPC 6845 register table, graphics: R0 = 56, R4 = 127, R5 = 6, R9 = 1, at half the dots",
    wishes: { ...television, oscillators: [hertz(14_318_180)], ...picture(320, 200), bitsPerDot: [1] },
    cells: 57,
    dots: 456,
    lines: 262,
  },
  {
    source:
      "comp.sys.sinclair FAQ and zxdesign.info video parameters: 224 cycles of 3.5 MHz a line, 312 lines, 50.08 Hz",
    wishes: { ...television, oscillators: [hertz(14_000_000)], ...picture(256, 192), bitsPerDot: [1] },
    cells: 56,
    dots: 448,
    lines: 312,
    fieldHertz: [50.08, 2],
  },
  {
    source: "Retrocomputing Stack Exchange 31494: 19.968 MHz divided by 4, 320 dots, 262 lines",
    wishes: { ...television, oscillators: [hertz(19_968_000)], lines: 262, ...picture(256, 224), bitsPerDot: [1] },
    cells: 40,
    dots: 320,
    lines: 262,
  },
  {
    source: "SeaBIOS vgasrc/stdvgamodes.c at 2620984, mode 3: R00 = 95, R06 = 191, R07 = 31, nine dots a character",
    wishes: {
      oscillators: [hertz(28_322_000)],
      shows: { kind: "text", characters: 80, lines: 25, characterDots: 9, characterRows: 16 },
      build: "printed board",
    },
    cells: 100,
    dots: 900,
    lines: 449,
    fieldHertz: [70.09, 2],
  },
  {
    source: "mrboot.de MC6845 page: 36 MHz, 3 MHz characters, R0 = 84, R4 = 77, R5 = 1, R9 = 7: 35.294 kHz, 56.47 Hz",
    wishes: {
      oscillators: [hertz(36_000_000)],
      shows: { kind: "text", characters: 66, lines: 75, characterDots: 12, characterRows: 8 },
      build: "printed board",
    },
    cells: 85,
    dots: 1020,
    lines: 625,
    kilohertz: [35.294, 3],
    fieldHertz: [56.47, 2],
  },
  {
    source: "VESA DMT 0x04: 25.175 MHz, 800 dots, 525 lines",
    wishes: { oscillators: [hertz(25_175_000)], ...picture(640, 480), bitsPerDot: [1], build: "printed board" },
    cells: 100,
    dots: 800,
    lines: 525,
    kilohertz: [31.469, 3],
    fieldHertz: [59.94, 2],
  },
];

describe("published circuits", () => {
  test.each(published)("are found: $source", ({ wishes, cells, dots, lines, kilohertz, fieldHertz }) => {
    const { front } = searchPlans({ ...DEFAULT_WISHES, ...wishes });
    const found = front.find((plan) => totalOf(plan.line) === cells && totalOf(plan.frame) === lines);
    if (!found) throw new Error(front.map((plan) => `${totalOf(plan.line)} ${totalOf(plan.frame)}`).join(", "));
    const { content, oscillator, divider } = found;
    const cellDots = content.kind === "text" ? content.characterDots : 8 / content.bitsPerDot;
    expect(totalOf(found.line) * cellDots).toBe(dots);
    const line = inHertz(oscillator) / (divider * dots);
    const rates = [
      [line / 1000, kilohertz],
      [line / lines, fieldHertz],
    ] as const;
    for (const [rate, printed] of rates) {
      expect(rate.toFixed(printed?.[1])).toBe((printed?.[0] ?? rate).toFixed(printed?.[1]));
    }
  });
});

describe("a published circuit that is off the standard where whole cells come nearer to it", () => {
  test("is not found: 112 cells of six dots from 10.6445 MHz are 0.7 % fast, 113 are 0.2 % slow", () => {
    // Micro Computer Technical Reference Handbook, video divider chain: 887.041 kHz / 4 / 14 = 15.84 kHz, / 12 / 2 / 11 = 60 Hz.
    // The ring of eight phases wants a period of the oscillator for each eighth of a cell, hence twice the master clock.
    const { front } = searchPlans({
      ...DEFAULT_WISHES,
      ...television,
      oscillators: [hertz(2 * 10_644_500)],
      lines: 264,
      shows: { kind: "text", characters: 64, lines: 16, characterDots: 6, characterRows: 12 },
    });
    const published = (10_644_500 / 672 / 15_734.27 - 1) * 100;
    expect(published).toBeCloseTo(0.67, 2);
    expect(front.length).toBeGreaterThan(0);
    for (const { line, counted } of front) {
      expect(totalOf(line)).toBe(113);
      expect(Math.abs(counted.lineRatePercent)).toBeLessThan(published);
    }
  });
});

describe("a memory that the screen and the processor take in turns", () => {
  test("gives the processor the character clock: 8 dots of 80 ns are 640 ns (Synertek SY6545 application note, 3 and 4)", () => {
    const { front } = searchPlans({
      ...DEFAULT_WISHES,
      ...television,
      oscillators: [hertz(12_500_000)],
      shows: { kind: "text", characters: 80, lines: 24, characterDots: 8, characterRows: 8 },
      sharing: ["alternate slots"],
    });
    const [plan] = front;
    // The board's own tolerance of 100 ppm is in the estimate.
    expect(plan?.figures.longestWaitNs).toBeCloseTo(640, 0);
    // 1920 characters take 2 KiB at least; a 4 KiB memory holds two such pages.
    expect(plan?.figures.memoryUsed).toBeGreaterThanOrEqual(1920);
  });
});
