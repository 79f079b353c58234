import { printHertz } from "../../quantity/index.js";
import type { Design } from "../design.js";
import { type Block, HIGH, LOW, OPEN, type WrittenChip, chip } from "./board.js";
import { type ClockFlop, halfOf } from "./sharing.js";

/** The oscillator, what makes the clock of a phase of it, and the quick flip-flops on that clock; sentences on these. */
export function clockBlock(
  { oscillator, family }: Design,
  stages: number,
  more: readonly ClockFlop[],
  about: string,
): Block {
  const can = `OSC-${printHertz(oscillator).replace(" ", "")}`;
  const isSlow = family === "HC";
  const output = stages === 0 && !isSlow ? "DOT" : "OSC";
  const flops = [...Array.from({ length: stages }, (_, stage) => halving(stage, stages)), ...more];
  const chips: WrittenChip[] = [
    chip(can, "oscillator can, TTL output", { OUT: output }, { kind: "X" }),
    ...(stages === 0 && isSlow ? [clockGates()] : []),
  ];
  for (let at = 0; at < flops.length; at += 2) {
    const pair = flops.slice(at, at + 2);
    chips.push(
      chip("74ACT74", pair.map(({ note }) => note).join("; "), { ...halfOf(1, pair[0]), ...halfOf(2, pair[1]) }),
    );
  }
  const levels = isSlow
    ? stages === 0
      ? "The can swings at TTL levels; two exclusive ORs, equally quick, make the clock and its inverse of it, with edges that are quick with all that hangs on them. "
      : "The can swings at TTL levels and its high time may be 40 % of its period: 74HC74 wants CMOS levels and longer pulses, 74ACT74 neither, and its edges are quick with all that hangs on them. "
    : "All that it clocks has TTL inputs: ACT, AHCT and ALS. ";
  return { title: `Clock: ${printHertz(oscillator)} to the clock of a phase`, about: levels + about, chips };
}

function clockGates(): WrittenChip {
  return chip("74ACT86", "clock of a phase and its inverse", {
    "1A": "OSC",
    "1B": LOW,
    "1Y": "DOT",
    "2A": "OSC",
    "2B": HIGH,
    "2Y": "DOT#",
    "3Y, 4Y": OPEN,
  });
}

/** Halves the clock: of OSC comes HALF, of that QUARTER, and so on; the last is DOT. */
function halving(stage: number, stages: number): ClockFlop {
  const names = ["OSC", "HALF", "QUARTER", "EIGHTH"];
  const name = (at: number) => (at === stages ? "DOT" : (names[at] ?? `CLOCK${at}`));
  const q = name(stage + 1);
  return {
    note: q === "DOT" ? "clock of a phase" : "halves the clock",
    clock: name(stage),
    data: `${q}#`,
    q,
    qLow: `${q}#`,
  };
}
