import { type Block, LOW, OPEN, type WrittenChip, type WrittenInput, bus, chip } from "./board.js";
import type { Way } from "./decode.js";

/** Parts that hold the processor's byte and bring its request into step. */
export interface LatchParts {
  readonly address: string;
  readonly data: string;
  readonly synchroniser: string;
}

/** A processor that writes at any time: latches, a request that its strobe turns over, three stages that see the turn. */
export function latchBlock(parts: LatchParts, addressBits: number, reset: string, resetStage: WrittenChip): Block {
  const address = Array.from({ length: Math.ceil(addressBits / 8) }, (_, index) => {
    const [low, used] = [8 * index, Math.min(8, addressBits - 8 * index)];
    return chip(parts.address, `processor address, bits ${low} to ${low + used - 1}`, {
      CLK: "WR#",
      "OE#": "PROCESSOR#",
      [`[1..${used}]D`]: bus("PA", used, low),
      [`[1..${used}]Q`]: bus("MA", used, low),
    });
  });
  return {
    title: "Processor side: latches, request, synchroniser",
    about:
      `The latches show the last address and data in every processor slot; the RAM takes them once a request. ` +
      `Every rise of WR# turns REQUEST over. Two stages bring it into step with the memory cycle, a third remembers: for exactly one cycle after each turn, stages two and three differ.`,
    chips: [
      ...address,
      chip(parts.data, "processor data", {
        CLK: "WR#",
        "OE#": "PROCESSOR#",
        "[1..8]D": bus("PD", 8),
        "[1..8]Q": bus("MD", 8),
      }),
      resetStage,
      chip(parts.synchroniser, "request synchroniser, sampled once a cell", {
        CLK: "SAMPLE",
        "CLR#": reset,
        "1D": "REQUEST",
        "1Q": "REQUEST1",
        "1Q#": OPEN,
        "2D": "REQUEST1",
        "2Q": "REQUEST2",
        "2Q#": OPEN,
        "3D": "REQUEST2",
        "3Q": "REQUEST3",
        "3Q#": OPEN,
        "4D": LOW,
        "4Q, 4Q#": OPEN,
      }),
    ],
  };
}

/** A request is pending while the second and third stage differ. */
export function pendingWays(): readonly Way[] {
  return [
    [
      {
        kind: "XOR",
        inputs: ["REQUEST2", "REQUEST3"],
        output: "PENDING",
        remark: "a request is pending while two stages differ",
      },
    ],
  ];
}

/**
 * Least time from one write to the next, in nanoseconds: the latches must not change before the RAM has the byte, and two
 * requests must not fall into neighbouring cells. A quarter more than the slowest case.
 */
export function leastRepeatNs(cellNs: number, phasesToWrite: number): number {
  const slowest = REQUEST_NS + JUST_MISSED_NS + 2 * cellNs + (phasesToWrite * cellNs) / 8 + STROBE_NS;
  return Math.ceil((1.25 * slowest) / 100) * 100;
}

/** 74HC74 clock to output; 74HC175 set-up that is just missed; ring, clock and strobe flip-flops with their wires. */
const REQUEST_NS = 44;
const JUST_MISSED_NS = 25;
const STROBE_NS = 60;

/** What comes from the processor, and its reset. */
export function latchInputs(addressBits: number, repeatNs: number): readonly WrittenInput[] {
  const repeat = repeatNs % 1000 === 0 ? `${repeatNs / 1000} us` : `${repeatNs / 1000} us`;
  return [
    {
      nets: "WR#",
      timing: `{ any time: { high: 100 ns, low: 100 ns, repeat: ${repeat} }, levels: CMOS }`,
      about:
        `The processor puts address and data out, pulses WR# low, and the rise latches them. The latches must not change until the RAM has the byte: ` +
        `a request flip-flop, a sample that just missed it, two cells and the way to the end of the write pulse. A quarter more stands here. ` +
        `Its outputs are CMOS ones; TTL levels would want 74HCT behind them.`,
    },
    {
      nets: `PA[0..${addressBits - 1}]`,
      timing: "{ steady around: WR# rise, before: 40 ns, after: 10 ns, levels: CMOS }",
    },
    { nets: "PD[0..7]", timing: "{ steady around: WR# rise, before: 40 ns, after: 10 ns, levels: CMOS }" },
    resetInput(),
  ];
}

export function resetInput(): WrittenInput {
  return {
    nets: "RESET#",
    timing: "{ power-up only: low, at least: 100 ms, levels: CMOS }",
    about: "From a supply supervisor. Clears the ring and the counters; the oscillator must have started by then.",
  };
}
