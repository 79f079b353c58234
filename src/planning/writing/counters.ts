import { type Block, HIGH, LOW, OPEN, type WrittenChip, bus, chip } from "./board.js";
import { type Counting, describeCounting } from "./counting.js";

/** What a row of counters is called and what makes it go on. */
interface CounterUse {
  readonly counting: Counting;
  /** `COL` or `LINE`: its bits are COL0, COL1 ... */
  readonly name: string;
  readonly part: string;
  /** Low at the last before the jump, where the counter loads. */
  readonly load: string;
  /** High where it may count. */
  readonly enable: string;
  /** Lowest bits that nobody reads. */
  readonly unread: number;
}

/** Columns: clocked once a cell. */
export function columnBlock(counting: Counting, part: string): Block {
  return {
    title: `Columns: ${counting.total} cells a line`,
    about:
      `Clocked once a cell, so that a jump cannot come in the middle of a byte: LOAD# of a 161 does not wait for its enables. ` +
      describeCounting(counting),
    chips: counterChips({ counting, name: "COL", part, load: "LINE_END#", enable: HIGH, unread: 0 }),
  };
}

/** Lines: clocked with the columns, going on where a column's counter jumps. */
export function lineBlock(counting: Counting, part: string, unread: number, column: number): Block {
  return {
    title: `Lines: ${counting.total} in a frame`,
    about: `Same clock, enabled in column ${column} only. ${describeCounting(counting)}`,
    chips: counterChips({ counting, name: "LINE", part, load: "FRAME_END#", enable: "LINE_END", unread }),
  };
}

function counterChips({ counting, name, part, load, enable, unread }: CounterUse): readonly WrittenChip[] {
  const count = Math.ceil(counting.bits / 4);
  return Array.from({ length: count }, (_, index) => {
    const low = 4 * index;
    const used = Math.min(4, counting.bits - low);
    const isLast = index === count - 1;
    const data = Array.from({ length: 4 }, (_, bit) => ((counting.loaded >> (low + bit)) & 1 ? HIGH : LOW));
    const outputs = [
      ...bus(name, used, low).map((net, bit) => (low + bit < unread ? OPEN : net)),
      ...Array<string>(4 - used).fill(OPEN),
    ];
    const carryIn = index === 0 ? HIGH : carry(name, index - 1);
    return chip(part, noteOf(name, index, count, used), {
      CLK: "BYTE",
      "CLR#": "COUNT_RESET#",
      "LOAD#": load,
      ENP: enable,
      ENT: carryIn,
      "A, B, C, D": data,
      "Q[A..D]": outputs,
      RCO: isLast ? OPEN : carry(name, index),
    });
  });
}

function carry(name: string, index: number): string {
  return `${name}_CARRY${index === 0 ? "" : index + 1}`;
}

function noteOf(name: string, index: number, count: number, used: number): string {
  const words = ["", "one bit", "two bits", "three bits", "four bits"];
  const place = count === 1 ? "all" : index === 0 ? "low" : index === count - 1 ? "high" : "middle";
  return `${name === "COL" ? "column" : "line"}, ${place} ${words[used]}`;
}
