import type { Sharing } from "../design.js";
import { type Block, HIGH, LOW, type WrittenChip, type WrittenInput, bus, chip } from "./board.js";
import type { FamilyParts } from "./families.js";
import type { Gate } from "./gates.js";
import { resetInput, resetStage } from "./reset.js";
import type { SharingParts } from "./sharing.js";
import { WAIT_STAGES, accessTimes, describeAccess, withWaits } from "./wait-states.js";

type LatchKind = Exclude<Sharing["kind"], "alternate slots">;

/** What a processor with a clock of its own is told of the board it writes to. */
export interface LatchWish {
  readonly kind: LatchKind;
  readonly addressBits: number;
  readonly cellNs: number;
  /** How long the picture's part of a line lasts. */
  readonly visibleNs: number;
  readonly parts: FamilyParts;
  /** A net that turns over in vertical sync alone. */
  readonly frameSync: string;
  readonly processor: string;
}

/**
 * A processor that comes at any time: latches, a request that its strobe turns over, three stages that see the turn, and the
 * byte in the cell that follows. With wait states the processor is told when it is done, and may read; in blanking only the
 * request waits for the end of a line; of two banks the one that is not shown is written.
 */
export function latchSide(wish: LatchWish): SharingParts {
  const plain = writeLatch(wish);
  switch (wish.kind) {
    case "write latch":
      return plain;
    case "blanking only":
      return inBlanking(plain, wish);
    case "wait states":
      return withWaits(plain, wish);
    case "two banks":
      return ofTwoBanks(plain, wish);
  }
}

const pending: Gate = {
  kind: "XOR",
  inputs: ["REQUEST2", "REQUEST3"],
  output: "PENDING",
  remark: "a request is pending while two stages differ",
};

function writeLatch(wish: LatchWish): SharingParts {
  const { addressBits } = wish;
  return {
    windows: [],
    writes: [{ net: "WE#", when: "PENDING", note: "ends and begins the write pulse" }],
    takes: [],
    enables: [],
    flops: [],
    gates: [pending],
    block: latchBlock(wish, "PROCESSOR#"),
    inputs: latchInputs(wish, addressBits),
    connector: [],
    undrivenPhases: 1,
    memories: [{ output: "DISPLAY#", write: "WE#", note: "picture memory", data: "MD" }],
    shown: "MD",
    needsVisible: false,
    needsFrameSync: false,
    picture: [
      "  PROCESSOR#  -     -     -     -     low   low   low   -      latches address the RAM and drive its data",
    ],
  };
}

/** The third stage takes over the second only where the fourth flip-flop says that no picture is drawn; else it keeps what it has. */
function inBlanking(plain: SharingParts, { parts }: LatchWish): SharingParts {
  return {
    ...plain,
    writes: [{ net: "WE#", when: "DONE", note: "ends and begins the write pulse" }],
    gates: [
      {
        kind: "NAND",
        inputs: ["REQUEST2", "MAY_WRITE"],
        output: "TAKEN#",
        remark: "the second stage where it may write",
      },
      {
        kind: "NAND",
        inputs: ["REQUEST3", "MAY_WRITE#"],
        output: "KEPT#",
        remark: "the third itself where it may not",
      },
      { kind: "NAND", inputs: ["TAKEN#", "KEPT#"], output: "REQUEST3_NEXT" },
      ...(parts.patientStages === "74ACT174"
        ? [{ kind: "NOT", inputs: ["MAY_WRITE#"], output: "MAY_WRITE" } satisfies Gate]
        : []),
      {
        kind: "XOR",
        inputs: ["REQUEST3", "REQUEST3_NEXT"],
        output: "DONE",
        remark: "a request is done in the cell as which ends the third stage turns over",
      },
    ],
    connector: ["MAY_WRITE"],
    needsVisible: true,
  };
}

/** Each bank has data wires of its own, so that nothing that drives hangs on which of them is shown. */
function ofTwoBanks(plain: SharingParts, { parts, frameSync }: LatchWish): SharingParts {
  const banks = ["A", "B"] as const;
  return {
    ...plain,
    writes: banks.map((bank) => ({ net: `WE_${bank}#`, when: `FILL_${bank}`, note: `writes bank ${bank}` })),
    gates: [
      ...plain.gates,
      { kind: "AND", inputs: ["PENDING", "SHOW_B"], output: "FILL_A", remark: "the bank that is not shown is filled" },
      { kind: "AND", inputs: ["PENDING", "SHOW_A"], output: "FILL_B" },
    ],
    block: {
      ...plain.block,
      chips: [
        ...plain.block.chips,
        chip(parts.request, "which bank is shown, from one vertical sync to the next", {
          "1CLK": "FRAME_TURN",
          "1D": "PAGE",
          "1Q": "SHOW_B",
          "1Q#": "SHOW_A",
          "1PRE#, 1CLR#": HIGH,
          "2CLK": parts.turnClock,
          "2D": frameSync,
          "2Q": "FRAME_TURN",
          "2PRE#, 2CLR#": HIGH,
        }),
        ...[4, 0].map((low) =>
          chip(parts.selector, `byte of the bank that is shown, bits ${low} to ${low + 3}`, {
            "A#/B": "SHOW_B",
            "G#": LOW,
            ...Object.fromEntries(
              [1, 2, 3, 4].flatMap((place) => [
                [`${place}A`, `MA_D${low + place - 1}`],
                [`${place}B`, `MB_D${low + place - 1}`],
                [`${place}Y`, `SHOWN${low + place - 1}`],
              ]),
            ),
          }),
        ),
      ],
      about:
        `${plain.block.about} Both banks have the same address, and data wires of their own: the display takes the byte of the one that is shown, the other is written. ` +
        `PAGE is taken over once a frame, in vertical sync; SHOW_B tells the processor which bank is shown.`,
    },
    inputs: [
      {
        nets: "PAGE",
        timing: `{ steady around: FRAME_TURN rise, before: 40 ns, after: 10 ns, levels: CMOS }`,
        about: `Which bank is to be shown from the next vertical sync on: low for A, high for B. The processor sees FRAME_TURN and changes PAGE at another time than as it rises.`,
      },
      ...plain.inputs,
    ],
    connector: ["SHOW_B", "FRAME_TURN"],
    memories: banks.map((bank) => ({
      output: "DISPLAY#",
      write: `WE_${bank}#`,
      note: `picture memory, bank ${bank}`,
      data: `M${bank}_D`,
    })),
    shown: "SHOWN",
    needsFrameSync: true,
  };
}

/** The strobe whose rise latches what the processor wants. */
function strobeOf(kind: LatchKind): string {
  return kind === "wait states" ? "ACCESS" : "WR#";
}

function latchBlock({ addressBits, kind, parts }: LatchWish, enable: string): Block {
  const strobe = strobeOf(kind);
  const address = Array.from({ length: Math.ceil(addressBits / 8) }, (_, index) => {
    const [low, used] = [8 * index, Math.min(8, addressBits - 8 * index)];
    return chip(parts.processorAddress, `processor address, bits ${low} to ${low + used - 1}`, {
      CLK: strobe,
      "OE#": enable,
      [`[1..${used}]D`]: bus("PA", used, low),
      [`[1..${used}]Q`]: bus("MA", used, low),
    });
  });
  return {
    title: "Processor side: latches, request, synchroniser",
    about:
      `The latches show the last address and data in every processor slot; the RAM takes them once a request. ` +
      `Every rise of ${strobe} turns REQUEST over. Two stages bring it into step with the memory cycle, a third remembers: for exactly one cycle after each turn, stages two and three differ. RESET# clears all of them, so that nothing is written before it is asked for.` +
      (kind === "blanking only"
        ? " Here the third follows only where the picture is not drawn, so that a request waits until then."
        : ""),
    chips: [
      ...address,
      ...(kind === "two banks" ? ["MA_D", "MB_D"] : ["MD"]).map((wires) =>
        chip("74AHCT574", "processor data; lets go of the RAM's wires sooner than 74HC", {
          CLK: strobe,
          "OE#": kind === "wait states" ? "WRITE_DATA#" : parts.dataEnable,
          "[1..8]D": bus("PD", 8),
          "[1..8]Q": bus(wires, 8),
        }),
      ),
      chip(parts.request, "request; second stage of the reset", {
        "1CLK": strobe,
        "1D": "REQUEST#",
        "1Q": "REQUEST",
        "1Q#": "REQUEST#",
        "1PRE#": HIGH,
        "1CLR#": "RESET#",
        ...resetStage(2, parts),
      }),
      synchroniser(kind, parts),
    ],
  };
}

function synchroniser(kind: LatchKind, { patientStages }: FamilyParts): WrittenChip {
  const note = "request synchroniser, sampled once a cell";
  const stages = (count: number) =>
    Object.fromEntries(
      Array.from({ length: count }, (_, index) => [
        [`${index + 1}D`, index === 0 ? "REQUEST" : `REQUEST${index}`],
        [`${index + 1}Q`, `REQUEST${index + 1}`],
      ]).flat(),
    ) as Readonly<Record<string, string>>;
  const clocked = { CLK: "T7", "CLR#": "COUNT_RESET#" };
  if (kind === "wait states") return chip("74ACT174", note, { ...clocked, ...stages(WAIT_STAGES) });
  if (kind !== "blanking only") return chip("74HC175", note, { ...clocked, ...stages(3) });
  return chip(patientStages, `${note}; no picture is drawn`, {
    ...clocked,
    ...stages(3),
    "3D": "REQUEST3_NEXT",
    "4D": "VISIBLE",
    "4Q": "MAY_WRITE#",
    ...(patientStages === "74HC175" && { "4Q#": "MAY_WRITE" }),
  });
}

/**
 * Least time from one request to the next, in nanoseconds: the latches must not change before the RAM has the byte, and two
 * requests must not fall into neighbouring cells. A quarter more than the slowest case.
 */
function leastRepeatNs({ kind, cellNs, visibleNs }: LatchWish): number {
  const slowest = REQUEST_NS + JUST_MISSED_NS + 2 * cellNs + (PHASES_TO_WRITE * cellNs) / 8 + STROBE_NS;
  const waiting = kind === "blanking only" ? visibleNs + cellNs : 0;
  return Math.ceil((1.25 * (slowest + waiting)) / 100) * 100;
}

/** 74HC74 clock to output; 74HC175 set-up that is just missed; ring, clock and strobe flip-flops with their wires. */
const REQUEST_NS = 44;
const JUST_MISSED_NS = 25;
const STROBE_NS = 60;
/** From the rise of T7, as phase 7 begins, to the end of the write pulse in the middle of the next phase 6. */
const PHASES_TO_WRITE = 7.5;

/** What comes from the processor, and its reset. */
function latchInputs(wish: LatchWish, addressBits: number): readonly WrittenInput[] {
  const { kind } = wish;
  const strobe = strobeOf(kind);
  const { high, low, repeat } =
    kind === "wait states" ? accessTimes(wish) : { high: 100, low: 100, repeat: leastRepeatNs(wish) };
  const steady = `{ steady around: ${strobe} rise, before: 40 ns, after: 10 ns, levels: CMOS }`;
  const about =
    kind === "wait states"
      ? describeAccess(wish)
      : `The processor puts address and data out, pulses WR# low, and the rise latches them. The latches must not change until the RAM has the byte: ` +
        `a request flip-flop, a sample that just missed it, two cells and the way to the end of the write pulse${kind === "blanking only" ? ", after the visible part of a line" : ""}. A quarter more stands here. ` +
        `Its outputs are CMOS ones; TTL levels would want 74HCT behind them.`;
  return [
    {
      nets: strobe,
      timing: `{ any time: { high: ${high} ns, low: ${low} ns, repeat: ${repeat / 1000} us }, levels: CMOS }`,
      about,
    },
    { nets: `PA[0..${addressBits - 1}]${kind === "wait states" ? ", RW#" : ""}`, timing: steady },
    { nets: "PD[0..7]", timing: steady },
    resetInput(),
  ];
}
