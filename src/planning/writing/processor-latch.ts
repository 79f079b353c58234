import { type Block, HIGH, LOW, OPEN, type WrittenInput, bus, chip } from "./board.js";
import { resetInput } from "./reset.js";
import { type SharingParts, writeNext } from "./sharing.js";

/**
 * A processor that writes at any time: latches, a request that its strobe turns over, three stages that see the turn, and a
 * write in the next cell.
 */
export function writeLatch(addressBits: number, cellNs: number): SharingParts {
  return {
    clockFlops: [],
    strobes: [],
    gates: [
      writeNext("PENDING"),
      {
        kind: "XOR",
        inputs: ["REQUEST2", "REQUEST3"],
        output: "PENDING",
        remark: "a request is pending while two stages differ",
      },
    ],
    choices: [],
    block: latchBlock(addressBits),
    inputs: latchInputs(addressBits, leastRepeatNs(cellNs)),
    ringTaps: ["SAMPLE"],
    connector: [],
    undrivenPhases: 1,
    memoryEnable: "DISPLAY#",
    picture: [
      "  PROCESSOR#  -     -     -     -     low   low   low   -      latches address the RAM and drive its data",
      "  WE#         -     -     -     -     -     half  half  -      from the middle of phase 5 to that of phase 6",
    ],
  };
}

function latchBlock(addressBits: number): Block {
  const address = Array.from({ length: Math.ceil(addressBits / 8) }, (_, index) => {
    const [low, used] = [8 * index, Math.min(8, addressBits - 8 * index)];
    return chip("74HC574", `processor address, bits ${low} to ${low + used - 1}`, {
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
      chip("74AHCT574", "processor data; lets go of the RAM's wires sooner than 74HC", {
        CLK: "WR#",
        "OE#": "PROCESSOR#",
        "[1..8]D": bus("PD", 8),
        "[1..8]Q": bus("MD", 8),
      }),
      chip("74HC74", "request; second stage of the reset", {
        "1CLK": "WR#",
        "1D": "REQUEST#",
        "1Q": "REQUEST",
        "1Q#": "REQUEST#",
        "1PRE#, 1CLR#": HIGH,
        "2CLK": "DOT",
        "2D": "RESET_SAMPLED#",
        "2CLR#": "RESET#",
        "2PRE#": HIGH,
        "2Q": "RING_RESET#",
      }),
      chip("74HC175", "request synchroniser, sampled once a cell", {
        CLK: "SAMPLE",
        "CLR#": "COUNT_RESET#",
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

/**
 * Least time from one write to the next, in nanoseconds: the latches must not change before the RAM has the byte, and two
 * requests must not fall into neighbouring cells. A quarter more than the slowest case.
 */
function leastRepeatNs(cellNs: number): number {
  const slowest = REQUEST_NS + JUST_MISSED_NS + 2 * cellNs + (PHASES_TO_WRITE * cellNs) / 8 + STROBE_NS;
  return Math.ceil((1.25 * slowest) / 100) * 100;
}

/** 74HC74 clock to output; 74HC175 set-up that is just missed; ring, clock and strobe flip-flops with their wires. */
const REQUEST_NS = 44;
const JUST_MISSED_NS = 25;
const STROBE_NS = 60;
/** From the rise of SAMPLE, as phase 6 begins, to the end of the write pulse in the middle of the next phase 6. */
const PHASES_TO_WRITE = 8.5;

/** What comes from the processor, and its reset. */
function latchInputs(addressBits: number, repeatNs: number): readonly WrittenInput[] {
  const repeat = `${repeatNs / 1000} us`;
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
