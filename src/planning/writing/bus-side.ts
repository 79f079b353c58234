import { type Block, LOW, OPEN, type WrittenInput, bus, chip } from "./board.js";
import type { FamilyParts } from "./families.js";
import { resetInput, resetStage } from "./reset.js";
import type { SharingParts } from "./sharing.js";

/** W65C02S at 5 V, data sheet of 8 October 2018, table 6-3: how long address, R/W and written data take, and stay. */
const ADDRESS_NS = 30;
const DATA_NS = 25;
const KEPT_NS = 10;
/** What decodes the address on the processor's own board: a gate or two of 74HC. Common practice. */
const SELECT_NS = 60;

/**
 * A processor with a two-phase bus that the board clocks: PHI2 is high in phases 4 to 7, one cycle a cell. In that half its
 * address is on the RAM; what is there is read as phase 4 ends, then the RAM lets go for good, whether it is written or not, so
 * that nothing that drives hangs on R/W. The processor writes or reads in every cell and never waits. For phases of 148 ns and
 * longer.
 */
export function busSide(addressBits: number, parts: FamilyParts): SharingParts {
  return {
    windows: [
      { net: "PHI2", first: 4, last: 7 },
      { net: "TAKE_READ", first: 5, last: 7 },
    ],
    writes: [{ net: "WE#", when: "WRITE_CELL", note: "ends and begins the write pulse" }],
    takes: [],
    enables: [],
    flops: [
      {
        note: "has the RAM let go half a phase after it was read",
        clock: "DOT#",
        data: "TAKE_READ",
        q: "RAM_ENABLE#",
        qLow: OPEN,
      },
      {
        note: "puts the processor's data on the wires in phase 6",
        clock: "DOT",
        data: "WRITE_DATA_NEXT",
        q: OPEN,
        qLow: "WRITE_DATA#",
        clear: "RESET#",
      },
    ],
    gates: [
      { kind: "NOR", inputs: ["RW#", "SELECT#"], output: "WRITE_CELL", remark: "a write to this board" },
      {
        kind: "AND",
        inputs: ["T5", "T6#"],
        output: "WRITE_DATA_NEXT",
        remark: "phase 5",
      },
    ],
    block: processorBlock(addressBits, parts),
    inputs: processorInputs(addressBits),
    connector: ["PHI2", ...bus("PR", 8)],
    undrivenPhases: 3,
    memories: [{ output: "RAM_ENABLE#", write: "WE#", note: "picture memory", data: "MD" }],
    shown: "MD",
    needsVisible: false,
    needsFrameSync: false,
    picture: [
      "  PROCESSOR#  -     -     -     -     low   low   low   -      the processor addresses the RAM",
      "  PHI2        -     -     -     -     high  high  high  high   the processor's clock",
      "  TAKE_READ   -     -     -     -     -     high  high  high   its rise takes what the RAM holds there",
      "  RAM_ENABLE# half  low   low   low   low   half  -     -      the RAM drives",
      "  WRITE_DATA# -     -     -     -     -     -     low   -      the processor's data drive the wires",
    ],
  };
}

function processorBlock(addressBits: number, parts: FamilyParts): Block {
  const address = Array.from({ length: Math.ceil(addressBits / 8) }, (_, index) => {
    const [low, used] = [8 * index, Math.min(8, addressBits - 8 * index)];
    return chip("74AHCT541", `processor address, bits ${low} to ${low + used - 1}`, {
      "OE1#": "PROCESSOR#",
      "OE2#": LOW,
      [`A[1..${used}]`]: bus("PA", used, low),
      [`Y[1..${used}]`]: bus("MA", used, low),
    });
  });
  return {
    title: "Processor side: buffers and a register for what it reads",
    about:
      "The processor's address, R/W and select stand long before its half of the cell. What it may write is put on the wires in every cell, for the one phase in which the RAM has let go; WE# comes only where R/W and select ask for it, which stand long before phase 4, in which they are looked at. " +
      "What the RAM holds at its address is taken in every cell and stands on PR0 to PR7 until the next. " +
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
      chip(parts.request, "second stage of the reset", {
        ...resetStage(1, parts),
        "2CLK, 2D": LOW,
        "2PRE#, 2CLR#": "high",
      }),
    ],
  };
}

function processorInputs(addressBits: number): readonly WrittenInput[] {
  return [
    {
      nets: `PA[0..${addressBits - 1}], RW#`,
      timing: `{ after: PHI2 fall, from: ${KEPT_NS} ns, to: ${ADDRESS_NS} ns, levels: CMOS }`,
      about: `From a processor's board, clocked by PHI2. A W65C02S has its address and R/W (RW#, low for a write) ${ADDRESS_NS} ns after PHI2 falls at the latest and keeps the last ones for ${KEPT_NS} ns (data sheet of 8 October 2018, table 6-3).`,
    },
    {
      nets: "SELECT#",
      timing: `{ after: PHI2 fall, from: ${KEPT_NS} ns, to: ${ADDRESS_NS + SELECT_NS} ns, levels: CMOS }`,
      about: `Low while the address is in this memory: two gates on the processor's board.`,
    },
    {
      nets: "PD[0..7]",
      timing: `{ after: PHI2 rise, from: 0 ns, to: ${DATA_NS} ns, levels: CMOS }`,
      about: `Written data stand ${DATA_NS} ns after PHI2 rises and go ${KEPT_NS} ns after it falls, when the buffer is closed again.`,
    },
    resetInput(),
  ];
}
