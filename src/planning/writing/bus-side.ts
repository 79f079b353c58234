import type { LogicFamily } from "../design.js";
import { type Block, LOW, type WrittenInput, bus, chip } from "./board.js";
import type { FamilyParts } from "./families.js";
import { resetInput, resetStage } from "./reset.js";
import { type SharingParts, halfOf } from "./sharing.js";

/** W65C02S at 5 V, data sheet of 8 October 2018, table 6-3: how long address, R/W and written data take, and stay. */
const ADDRESS_NS = 30;
const DATA_NS = 25;
const KEPT_NS = 10;
/** What decodes the address on the processor's own board: a gate or two of 74HC, or one of 74AHCT. Common practice. */
const SELECT_NS: Readonly<Record<LogicFamily, number>> = { HC: 60, fast: 20 };

/** Takes whether the cell is a write: long after PHI2 fell, long before anything drives. */
const WRITES = { clock: "T2", data: "WRITE_CELL", q: "WRITES", qLow: "READS" };

/**
 * A processor with a two-phase bus that the board clocks: PHI2 is high in phases 4 to 7, one cycle a cell. Its address is on the
 * RAM in phases 4 to 6. A flip-flop takes as phase 2 begins whether it writes, so that the same level opens either the RAM's
 * outputs or the processor's, from phase 5 on. It writes or reads in every cell and never waits.
 */
export function busSide(addressBits: number, family: LogicFamily, parts: FamilyParts): SharingParts {
  return {
    windows: [
      { net: "PHI2", first: 4, last: 7 },
      { net: "SLOT_SOON", first: 3, last: 5 },
    ],
    writes: [{ net: "WE#", when: "WRITES", note: "ends and begins the write pulse" }],
    takes: [{ net: "TAKE_READ", note: "takes what the processor reads" }],
    enables: [
      {
        net: "READ_SOON#",
        soon: {
          kind: "NAND",
          inputs: ["SLOT_SOON", "READS"],
          output: "READ_SOON_NEXT#",
          isQuick: true,
          remark: "phases 3 to 5 of a read",
        },
        inReset: "low",
      },
      {
        net: "RAM_ENABLE#",
        soon: {
          kind: "AND",
          inputs: ["T7#", "READ_SOON#"],
          output: "RAM_SOON#",
          isQuick: true,
          remark: "low in phases 7, 0 and 1, and 4 to 6 of a read",
        },
        inReset: "low",
      },
      {
        net: "WRITE_DATA#",
        soon: {
          kind: "AND",
          inputs: ["SLOT_SOON", "WRITES"],
          output: "WRITE_DATA_SOON",
          isQuick: true,
          remark: "phases 3 to 5 of a write",
        },
        inReset: "high",
      },
    ],
    // The other half of the reset's flip-flop where that is quick.
    flops: family === "HC" ? [{ ...WRITES, note: "whether the cell is a write" }] : [],
    gates: [
      {
        kind: "NOR",
        inputs: ["RW#", "SELECT#"],
        output: "WRITE_CELL",
        isQuick: true,
        remark: "a write to this board",
      },
    ],
    block: processorBlock(addressBits, family, parts),
    inputs: processorInputs(addressBits, family),
    connector: ["PHI2", ...bus("PR", 8)],
    undrivenPhases: 2,
    memories: [{ output: "RAM_ENABLE#", write: "WE#", note: "picture memory", data: "MD" }],
    shown: "MD",
    needsVisible: false,
    needsFrameSync: false,
    picture: [
      "  PROCESSOR#  -     -     -     -     low   low   low   -      the processor addresses the RAM",
      "  PHI2        -     -     -     -     high  high  high  high   the processor's clock",
      "  RAM_ENABLE# low   low   low   -     -     low   low   low    the RAM drives, from phase 5 on where it is read",
      "  WRITE_DATA# -     -     -     -     low   low   low   -      the processor's data drive the wires where it is written",
    ],
  };
}

function processorBlock(addressBits: number, family: LogicFamily, parts: FamilyParts): Block {
  const address = Array.from({ length: Math.ceil(addressBits / 8) }, (_, index) => {
    const [low, used] = [8 * index, Math.min(8, addressBits - 8 * index)];
    return chip(parts.displayAddress, `processor address, bits ${low} to ${low + used - 1}`, {
      "OE1#": "PROCESSOR#",
      "OE2#": LOW,
      [`A[1..${used}]`]: bus("PA", used, low),
      [`Y[1..${used}]`]: bus("MA", used, low),
    });
  });
  return {
    title: "Processor side: buffers and a register for what it reads",
    about:
      "The processor's address, R/W and select stand long before its half of the cell, and are taken as phase 2 begins. Where it writes its data are put on the wires and WE# comes, else the RAM drives them. " +
      "What is on them is taken in every cell and stands on PR0 to PR7 until the next. " +
      "Its board puts them on its data bus where it reads this memory.",
    chips: [
      ...address,
      chip("74AHCT541", "data that the processor writes; lets go of the RAM's wires sooner than 74HC", {
        "OE1#": "WRITE_DATA#",
        "OE2#": LOW,
        "A[1..8]": bus("PD", 8),
        "Y[1..8]": bus("MD", 8),
      }),
      chip(parts.readRegister, "data that the processor reads; TTL inputs behind the RAM", {
        CLK: "TAKE_READ",
        "OE#": LOW,
        "[1..8]D": bus("MD", 8),
        "[1..8]Q": bus("PR", 8),
      }),
      chip(parts.request, `second stage of the reset${family === "fast" ? "; whether the cell is a write" : ""}`, {
        ...resetStage(1, parts),
        ...halfOf(2, family === "fast" ? WRITES : undefined),
      }),
    ],
  };
}

function processorInputs(addressBits: number, family: LogicFamily): readonly WrittenInput[] {
  return [
    {
      nets: `PA[0..${addressBits - 1}], RW#`,
      timing: `{ after: PHI2 fall, from: ${KEPT_NS} ns, to: ${ADDRESS_NS} ns, levels: CMOS }`,
      about: `From a processor's board, clocked by PHI2. A W65C02S has its address and R/W (RW#, low for a write) ${ADDRESS_NS} ns after PHI2 falls at the latest and keeps the last ones for ${KEPT_NS} ns (data sheet of 8 October 2018, table 6-3).`,
    },
    {
      nets: "SELECT#",
      timing: `{ after: PHI2 fall, from: ${KEPT_NS} ns, to: ${ADDRESS_NS + SELECT_NS[family]} ns, levels: CMOS }`,
      about: `Low while the address is in this memory: ${family === "fast" ? "a gate of 74AHCT" : "two gates of 74HC"} on the processor's board.`,
    },
    {
      nets: "PD[0..7]",
      timing: `{ after: PHI2 rise, from: 0 ns, to: ${DATA_NS} ns, levels: CMOS }`,
      about: `Written data stand ${DATA_NS} ns after PHI2 rises and go ${KEPT_NS} ns after it falls, when the buffer is closed again.`,
    },
    resetInput(),
  ];
}
