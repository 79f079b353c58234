import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import type { Fs } from "../../src/quantity/index.js";
import {
  activeShare,
  byteTime,
  cyclesInTime,
  displayDemand,
  divide,
  divideInTurn,
  dotShape,
  fieldRate,
  findRaster,
  frameRate,
  fromPeriodPs,
  hertz,
  inHertz,
  lineRate,
  lineTimes,
  mostDotsInLine,
  multiply,
  pictureMemory,
  timeOfCycles,
  timeOfLines,
} from "../../src/raster/index.js";

/** One worked example with its published answer. */
interface Row {
  readonly id: string;
  readonly source: string;
  readonly asked: string;
  readonly given: Readonly<Record<string, unknown>>;
  readonly expected: Readonly<Record<string, number>>;
  /** In the unit of the answer, or as a share of it. */
  readonly tolerance: { readonly abs: number } | { readonly rel: number };
  readonly fromMemory?: true;
}

const { rows } = JSON.parse(readFileSync(new URL("../data/worked-raster.json", import.meta.url), "utf8")) as {
  readonly rows: readonly Row[];
};

/** Reads a number that the example gives. */
type Given = (name: string) => number;

const [US, MS, NS] = [1e9, 1e12, 1e6];
const MIB = 2 ** 20;
const us = (value: number) => Math.round(value * US) as Fs;

function published(id: string) {
  const lookup = findRaster(id);
  if (!lookup.found) throw new Error(`no raster ${id}`);
  return lookup.raster;
}

/** Line and frame of a dot clock, dots in a line and lines in a frame. */
function rates(clock: ReturnType<typeof hertz>, dots: number, lines: number) {
  const line = divide(clock, dots);
  const frame = divide(line, lines);
  return {
    dotFs: timeOfCycles(clock, 1),
    lineFs: timeOfCycles(line, 1),
    frameFs: timeOfCycles(frame, 1),
    kHz: inHertz(line) / 1e3,
    Hz: inHertz(frame),
  };
}

/** How each example is computed with the functions of src/raster. */
const solutions: Readonly<Record<string, (given: Given) => Record<string, number>>> = {
  "ras-01": (given) => {
    const frame = hertz(given("frames_per_s"));
    const line = multiply(frame, given("lines"));
    return { f_h_Hz: inHertz(line), f_v_Hz: inHertz(multiply(frame, 2)), t_us: timeOfCycles(line, 1) / US };
  },
  "ras-03": (given) => {
    const h = { active: given("line_us") - given("h_blank_us"), total: given("line_us") };
    const v = { active: given("lines") - given("v_blank_lines"), total: given("lines") };
    const share = activeShare(h, v);
    return {
      h_percent: 100 * (1 - share.line),
      v_percent: 100 * (1 - share.frame),
      active_percent: 100 * share.both,
    };
  },
  // The finest pattern of light and dark has one cycle for two dots.
  "ras-05": (given) => ({ lines: cyclesInTime(multiply(hertz(given("B_MHz") * 1e6), 2), us(given("trace_us"))) }),
  "ras-07": (given) => ({
    pixels_per_s: displayDemand(given("w"), given("h"), 1, hertz(given("refresh_Hz"))).dotsPerSecond,
  }),
  "ras-08": (given) => {
    const clock = hertz(given("dot_clock_MHz") * 1e6);
    const line = hertz(given("line_rate_kHz") * 1e3);
    return { raw: mostDotsInLine(clock, line, 1), dots: mostDotsInLine(clock, line, given("multiple")) };
  },
  "ras-10": (given) => ({ dots: cyclesInTime(hertz(given("dot_clock_MHz") * 1e6), us(given("sync_us"))) }),
  "ras-11": (given) => {
    const { kHz, Hz } = rates(hertz(given("dot_clock_MHz") * 1e6), given("dots"), given("lines"));
    return { kHz, Hz };
  },
  "ras-12": (given) => ({ us: timeOfCycles(hertz(given("dot_clock_MHz") * 1e6), given("sync_dots")) / US }),
  "ras-13": (given) => {
    const line = divide(hertz(given("dot_clock_MHz") * 1e6), given("dots"));
    return { us: timeOfCycles(line, 1) / US, lines: cyclesInTime(line, us(given("vsync_us"))) };
  },
  "ras-14": (given) => ({ Hz: rates(hertz(given("dot_clock_MHz") * 1e6), given("dots"), given("lines")).Hz }),
  "ras-16": (given) => {
    const { bytes } = pictureMemory(given("w"), given("h"), 8 * given("bytes_per_pixel"));
    return { bytes, KiB: bytes / 1024 };
  },
  "ras-17": (given) => {
    const clock = hertz(given("master_MHz") * 1e6);
    const line = divide(hertz(given("subcarrier_MHz") * 1e6), given("subcarrier_cycles_per_line"));
    const lineTime = timeOfCycles(line, 1);
    return {
      ns: timeOfCycles(clock, 1) / NS,
      kHz: inHertz(line) / 1e3,
      dots_640: cyclesInTime(clock, lineTime),
      dots_320: cyclesInTime(divide(clock, 2), lineTime),
    };
  },
  "ras-19": (given) => {
    const clocks = given("short_cycle_clocks") * given("short_cycles") + given("long_cycle_clocks");
    const line = divide(hertz(given("master_MHz") * 1e6), clocks);
    return { MHz: inHertz(multiply(line, given("cycles_per_line"))) / 1e6 };
  },
  "ras-24": (given) => {
    const crystal = hertz(given("crystal_MHz") * 1e6);
    const line = divide(crystal, given("clocks_per_line"));
    const ticks = cyclesInTime(divide(crystal, given("timer_divide")), timeOfCycles(line, 1));
    return { ticks: Math.round(ticks * 1e6) / 1e6, kHz: inHertz(line) / 1e3 };
  },
  "ras-27": (given) => {
    const { dotFs, lineFs, frameFs } = rates(hertz(given("dot_MHz") * 1e6), given("dots"), given("lines"));
    return { ns: dotFs / NS, us: lineFs / US, ms: frameFs / MS };
  },
  "ras-28": (given) => {
    const { dotFs, lineFs, frameFs, ...both } = rates(hertz(given("dot_MHz") * 1e6), given("dots"), given("lines"));
    return { ns: dotFs / NS, us: lineFs / US, ms: frameFs / MS, ...both };
  },
  // Not from the numbers given but from our table, which must say the same.
  "ras-30": () => {
    const vic = published("vic-1");
    const line = lineTimes(vic);
    return {
      line_us: line.total / US,
      active_us: line.active / US,
      front_us: line.frontPorch / US,
      sync_us: line.sync / US,
      back_us: line.backPorch / US,
      frame_ms: timeOfLines(vic, vic.v.total) / MS,
      vsync_ms: timeOfLines(vic, vic.v.sync) / MS,
      kHz: inHertz(lineRate(vic)) / 1e3,
    };
  },
  "ras-32": (given) => {
    const clock = divide(divide(hertz(315e6), 22), given("divide"));
    const frame = hertz(given("frames"));
    const line = hertz(given("frames") * given("lines"));
    return {
      MHz: inHertz(clock) / 1e6,
      frame: cyclesInTime(clock, timeOfCycles(frame, 1)),
      line: cyclesInTime(clock, timeOfCycles(line, 1)),
    };
  },
  "ras-33": (given) => ({ MHz: inHertz(divide(hertz(given("crystal_MHz") * 1e6), given("divide"))) / 1e6 }),
  "ras-38": (given) => {
    const [, chain = 0, by4 = 0, by14 = 0, by12 = 0, by2 = 0, by11 = 0] = divideInTurn(
      hertz(given("master_MHz") * 1e6),
      [0, 1, 2, 3, 4, 5, 6].map((stage) => given(`chain.${stage}`)),
    ).map(inHertz);
    return {
      chain_kHz: chain / 1e3,
      kHz_4: by4 / 1e3,
      kHz_14: by14 / 1e3,
      Hz_12: by12,
      Hz_2: by2,
      Hz_11: by11,
    };
  },
  "ras-40": (given) => {
    const across = given("glyph.0") + given("gap.0");
    const down = given("glyph.1") + given("gap.1");
    const columns = Math.round(given("chars") / (1 - given("retrace_fraction_h")));
    const rowCount = Math.round(given("rows") / (1 - given("retrace_fraction_v")));
    const dotClock = multiply(hertz(given("frame_Hz")), across * columns * down * rowCount);
    return { ...characterMemory(given), MHz: inHertz(dotClock) / 1e6 };
  },
  "ras-41": (given) => characterMemory(given),
  "ras-43": (given) => {
    const lines = given("lines.0") + given("lines.1") + given("lines.2");
    const { frameFs, Hz } = rates(hertz(given("clock_MHz") * 1e6), given("cycles_per_line"), lines);
    return { ms: frameFs / MS, Hz };
  },
  "ras-46": (given) => ({ line_Hz: inHertz(divide(fromPeriodPs(given("t_e_ns") * 1000), given("bytes_per_line"))) }),
  "ras-47": (given) => ({ MHz: inHertz(divide(hertz(given("crystal_MHz") * 1e6), given("divide"))) / 1e6 }),
  "ras-48": (given) => {
    const screen = { width: 4, height: 3 };
    const shape = (clock: ReturnType<typeof hertz>) => dotShape(clock, us(given("active_us")), given("lines"), screen);
    return {
      a: shape(divide(hertz(945e6), 176)),
      b: shape(divide(hertz(315e6), 88)),
      c: shape(hertz(5e6)),
    };
  },
  "crt-04": (given) => {
    const dots = (given("R0") + 1) * given("dots_per_char");
    const lines = (given("R4") + 1) * (given("R9") + 1) + given("R5");
    const { kHz, Hz } = rates(hertz(given("dot_MHz") * 1e6), dots, lines);
    return { kHz, Hz };
  },
  // Not from the registers given but from our table, which must say the same.
  "crt-06": () => {
    const text = published("vga-0x02");
    return {
      dots: text.h.total,
      lines: text.v.total,
      visible: text.v.active,
      vs: text.v.active + text.v.frontPorch,
      Hz: inHertz(fieldRate(text)),
    };
  },
  "crt-07": (given) => {
    const lines = (given("R4") + 1) * (given("R9") + 1) + given("R5");
    const { lineFs, kHz, Hz } = rates(hertz(given("char_clock_MHz") * 1e6), given("R0") + 1, lines);
    return { us: lineFs / US, kHz, Hz };
  },
  "bw-02": (given) => dotRate(given),
  "bw-03": (given) => dotRate(given),
  "bw-05": (given) => {
    const { bytesPerSecond } = displayDemand(given("w"), given("h"), 8 * given("bytes_per_pixel"), hertz(given("Hz")));
    return { bytes: bytesPerSecond, MiB: bytesPerSecond / MIB };
  },
  "bw-06": (given) => {
    const { bytes } = pictureMemory(given("w"), given("h"), given("bits"));
    const { bytesPerSecond } = displayDemand(given("w"), given("h"), given("bits"), hertz(given("Hz")));
    return { MiB: bytes / MIB, MiB_per_s: bytesPerSecond / MIB };
  },
  "bw-07": (given) => ({ bits: pictureMemory(given("w"), given("h"), given("bits")).bits }),
  "bw-09": (given) => ({
    Gbps: displayDemand(given("w"), given("h"), given("bits"), hertz(given("Hz"))).bitsPerSecond / 1e9,
  }),
  "bw-10": (given) => {
    const columnRate = multiply(multiply(hertz(given("refresh_Hz")), given("characters")), given("columns"));
    return { us: timeOfCycles(columnRate, 1) / US };
  },
  "bw-11": (given) => {
    const all = hertz(given("refresh_Hz"));
    return { ms: timeOfCycles(all, 1) / MS, on_ms: timeOfCycles(multiply(all, given("digits")), 1) / MS };
  },
  "bw-12": (given) => ({ ns: byteTime(fromPeriodPs(given("dot_ns") * 1000), given("dots_per_char")) / NS }),
  "cnt-04": (given) => {
    const output = hertz(given("f_out_kHz") * 1e3);
    return { modulus: cyclesInTime(hertz(given("f_in_kHz") * 1e3), timeOfCycles(output, 1)) };
  },
  "cnt-06": (given) => {
    const clock = multiply(fromPeriodPs(given("period_at_third_stage_us") * 1e6), 2 ** 3);
    return { T_us: timeOfCycles(clock, 1) / US, f_kHz: inHertz(clock) / 1e3 };
  },
  "cnt-07": (given) => ({ f_Hz: inHertz(divide(hertz(given("f_in_Hz")), given("modulus"))) }),
  "cnt-12": (given) => {
    const clock = hertz(given("f_MHz") * 1e6);
    return { T_ns: timeOfCycles(clock, 1) / NS, t_ns: timeOfCycles(clock, given("bits")) / NS };
  },
  "cnt-16": (given) => ({ MHz: inHertz(divide(hertz(given("crystal_MHz") * 1e6), given("divide"))) / 1e6 }),
};

/** Refresh memory of one byte a character, and a character memory of eight rows of one byte. */
function characterMemory(given: Given) {
  return {
    ram_bytes: pictureMemory(given("chars"), given("rows"), 8).bytes,
    rom_bytes: pictureMemory(8, given("codes") * given("glyph.1"), 1).bytes,
  };
}

function dotRate(given: Given) {
  const { dotsPerSecond } = displayDemand(given("w"), given("h"), 1, hertz(given("Hz")));
  return { per_s: dotsPerSecond, ns: timeOfCycles(hertz(dotsPerSecond), 1) / NS };
}

/** Finds a number in what an example gives: `lines`, or `chain.2` in a list. */
function reader(row: Row): Given {
  return (name) => {
    const [key = "", place] = name.split(".");
    const value = row.given[key];
    const found: unknown = Array.isArray(value) && place !== undefined ? value[Number(place)] : value;
    if (typeof found !== "number") throw new Error(`${row.id} gives no number ${name}`);
    return found;
  };
}

describe("worked examples of raster arithmetic give their published answers", () => {
  const cases = rows.map((row) => [
    `${row.id}${row.fromMemory ? " (from memory)" : ""}: ${row.asked} [${row.source}]`,
    row,
  ]);
  test.each(cases as [string, Row][])("%s", (_, row) => {
    const got = solutions[row.id]?.(reader(row)) ?? {};
    expect(Object.keys(got).sort()).toEqual(Object.keys(row.expected).sort());
    for (const [name, expected] of Object.entries(row.expected)) {
      const slack = "abs" in row.tolerance ? row.tolerance.abs : row.tolerance.rel * Math.abs(expected);
      const actual = got[name] ?? Number.NaN;
      expect(Math.abs(actual - expected), `${name}: expected ${expected}, got ${actual}`).toBeLessThanOrEqual(slack);
    }
  });

  test("each has a solution, and each solution an example", () => {
    expect(Object.keys(solutions).sort()).toEqual(rows.map(({ id }) => id).sort());
  });
});

test("the frame rate of an interlaced raster is half its field rate", () => {
  const vic = published("vic-6");
  expect(inHertz(frameRate(vic)) * 2).toBeCloseTo(inHertz(fieldRate(vic)), 12);
});
