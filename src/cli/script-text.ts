import { type Fs, formatTime, inNs } from "../quantity/index.js";
import type { BrokenPromise, Landed, ScriptOutcome } from "../simulation/index.js";

/** No more of a kind than this are listed one by one. */
const MOST_LISTED = 6;

/** What came of a script, in short sentences. */
export function scriptSentences({ bytes, begun, ended, memories, broken }: ScriptOutcome): readonly string[] {
  const done =
    ended === undefined
      ? `Script: not done when the frames were over; ${begun} of ${bytes} writes had begun. --frames runs longer.`
      : `Script: ${bytes} writes, done ${formatTime(ended, 6)} after power-up.`;
  return [done, ...memories.flatMap(landedSentences), ...broken.slice(0, MOST_LISTED).map(brokenSentence)];
}

/** Whether the script came to its end, every byte to its cell, nothing elsewhere, and all promises were kept. */
export function isScriptInOrder({ ended, memories, broken }: ScriptOutcome): boolean {
  const isWhole = memories.every(({ lost, strays }) => lost.length === 0 && strays.length === 0);
  return ended !== undefined && isWhole && broken.length === 0;
}

function landedSentences({ ref, cells, lost, strays }: Landed): readonly string[] {
  if (cells === 0 && strays.length === 0) return [];
  const [first] = strays;
  return [
    lost.length === 0
      ? `${ref}: all ${cells} cells hold what was written.`
      : `${ref}: ${lost.length} of ${cells} cells do not hold what was written, ` +
        `${listed(lost.map(({ address, meant, holds }) => `${hex(address)} ${byte(holds)} for ${byte(meant)}`))}.`,
    ...(first
      ? [
          `${ref}: ${strays.length} other ${strays.length === 1 ? "cell" : "cells"} changed, ` +
            `${listed(strays.map(({ address, was, holds }) => `${hex(address)} from ${byte(was)} to ${byte(holds)}`))}.`,
        ]
      : []),
  ];
}

function brokenSentence({ net, what, promised, kept, at, count }: BrokenPromise): string {
  const times = count === 1 ? "once" : `${count} times`;
  return (
    `${net}: ${what} ${formatTime(kept, 4)}, where the circuit file promises ${formatTime(promised, 4)}, ${times}, ` +
    `worst at ${formatTime(at, 6)}: what prove says does not hold for such a script.`
  );
}

function listed(all: readonly string[]): string {
  const left = all.length - MOST_LISTED;
  return all.slice(0, MOST_LISTED).join(", ") + (left > 0 ? ` and ${left} more` : "");
}

function hex(address: number): string {
  return `0x${address.toString(16).padStart(4, "0")}`;
}

function byte(value: number | undefined): string {
  return value === undefined ? "unknown" : `0x${value.toString(16).padStart(2, "0")}`;
}

/** What came of a script as data; times in nanoseconds. `holds` is absent where it is not known. */
export function scriptData({ bytes, begun, ended, memories, broken }: ScriptOutcome) {
  const time = (value: Fs) => inNs(value);
  return {
    bytes,
    begun,
    ...(ended !== undefined && { ended: time(ended) }),
    memories,
    broken: broken.map(({ net, what, promised, kept, at, count }) => ({
      ...{ net, what, count },
      ...{ promised: time(promised), kept: time(kept), at: time(at) },
    })),
  };
}
