import { type Design, phasePeriods } from "../design.js";
import { printHertz } from "../../quantity/index.js";
import { type Block, HIGH, LOW, OPEN, type WrittenChip, chip } from "./board.js";
import type { Gate } from "./gates.js";
import type { Way } from "./decode.js";
import type { ClockFlop, SharingParts, Strobe } from "./sharing.js";

/**
 * What cuts a cell into eight phases, numbered 0 to 7. Its nets: DOT, the clock of a phase; DISPLAY# and PROCESSOR#, low while
 * each owns the wires; LOAD#, low as the last phase of the display's read ends; WE#, the write pulse; BYTE, whose rise ends the
 * column; SYNC_CLOCK, the same without the delay of what drives many counters; SAMPLE, whose rise takes a request in;
 * COUNT_RESET# and RING_RESET#.
 */
export interface Phases {
  /** Clock, ring and strobes, in the order of signal flow. */
  readonly blocks: readonly Block[];
  /** Gates that the phases need beside the decoding of columns and lines. */
  readonly gates: readonly Gate[];
  /** What is wanted of the decoding, by what it takes in; ways to have each. */
  readonly choices: readonly (readonly Way[])[];
  /** The net that clocks syncs and blanking. */
  readonly syncClock: string;
  /** Makes the gates that ask for a load, of nets that are all high where the picture is. */
  readonly loadWhere: (visible: readonly string[]) => readonly Way[];
  /** Lines for the head of the file: what is active in which phase. */
  readonly picture: readonly string[];
}

/** 74HC with faster parts where it is not guaranteed to serve: phases of 79 ns and longer. */
export function slowPhases(design: Design, sharing: SharingParts): Phases {
  const stages = Math.log2(phasePeriods(design));
  const isText = design.content.kind === "text";
  return {
    blocks: [
      clockBlock(design, stages, [...(isText ? [codeFlop] : []), ...sharing.clockFlops]),
      ringBlock([...(isText ? ["SAMPLE"] : ["T7"]), ...sharing.ringTaps]),
      strobeBlock([...(isText ? [{ data: "T1#", q: "CODE_SLOT#" }] : []), ...sharing.strobes]),
    ],
    gates: [
      // Straight from the tap it would come too soon for the hold time of the flip-flop.
      ...(isText ? [{ kind: "NOT", inputs: ["T1"], output: "T1#" } as const] : []),
      ...sharing.gates,
    ],
    choices: [
      ...sharing.choices,
      [
        [
          {
            kind: "OR",
            inputs: ["T3"],
            output: "BYTE",
            remark: "T3 itself would come late into the ring with all that BYTE drives",
          },
        ],
        [
          {
            kind: "AND",
            inputs: ["T3"],
            output: "BYTE",
            remark: "T3 itself would come late into the ring with all that BYTE drives",
          },
        ],
      ],
    ],
    syncClock: isText ? "T2" : "T3",
    loadWhere: (visible) => {
      const remark = isText
        ? "both taps are high in phase 0 only; for the flip-flop that loads at the end of phase 1"
        : "both taps are high in phase 1 only; for the flip-flop that loads at the end of phase 2";
      const load = (nets: readonly string[]): Gate => ({
        kind: "NAND",
        inputs: isText ? ["T0", "SAMPLE", ...nets] : ["T1", "T7", ...nets],
        output: "LOAD_NEXT#",
        remark,
      });
      const seen = (nets: readonly string[]): Gate => ({
        kind: "AND",
        inputs: nets,
        output: "VISIBLE",
        remark: "the picture",
      });
      if (isText) return visible.length > 4 ? [] : [[seen(visible), load(["VISIBLE_LATER"])]];
      if (visible.length < 2) return [[load(visible)]];
      const both: Way = [seen(visible.slice(0, 4)), load(["VISIBLE", ...visible.slice(4)])];
      return visible.length <= 6 ? [[load(visible)], both] : [both];
    },
    picture: [
      "  phase       0     1     2     3     4     5     6     7",
      "  DISPLAY#    low   low   low   -     -     -     -     -      counters address the RAM, the RAM drives",
      isText
        ? "  TAKE_CODE   -     -     half  high  high  half  -     -      its rise takes the code that was read"
        : "  LOAD#       -     -     low   -     -     -     -     -      the byte is taken as phase 2 ends",
      ...(isText
        ? ["  LOAD#       -     low   -     -     -     -     -     -      the dots of the code before are taken"]
        : []),
      ...sharing.picture,
      "  BYTE        -     -     -     high  high  high  -     -      columns, lines and syncs advance as phase 3 begins",
      "",
      "In phases 3 and 7 nobody drives the address or data wires: a slow buffer has time to let go.",
    ],
  };
}

/** Rises in the middle of phase 2. */
const codeFlop: ClockFlop = {
  note: "takes a code in the middle of phase 2",
  clock: "DOT#",
  data: "CODE_SLOT#",
  q: OPEN,
  qLow: "TAKE_CODE",
};

function clockBlock(design: Design, stages: number, more: readonly ClockFlop[]): Block {
  const can = `OSC-${printHertz(design.oscillator).replace(" ", "")}`;
  const isText = design.content.kind === "text";
  const flops: ClockFlop[] = [
    ...Array.from({ length: stages }, (_, stage) => halving(stage, stages)),
    { note: "ends and begins the write pulse", clock: "DOT#", data: "WRITE", q: OPEN, qLow: "WE#" },
    ...more,
  ];
  const chips: WrittenChip[] = [chip(can, "oscillator can, TTL output", { OUT: "OSC" }, { kind: "X" })];
  for (let at = 0; at < flops.length; at += 2) {
    const pair = flops.slice(at, at + 2);
    chips.push(
      chip("74AHCT74", pair.map(({ note }) => note).join("; "), {
        ...halfOf(1, pair[0]),
        ...halfOf(2, pair[1]),
      }),
    );
  }
  return {
    title: `Clock: ${printHertz(design.oscillator)} to the clock of a phase`,
    about:
      `The can swings at TTL levels and its high time may be 40 % of its period: 74HC74 wants CMOS levels and longer pulses, 74AHCT74 neither. ` +
      `The write pulse is clocked by DOT#, half a phase after everything else: it then lies in the middle of the time in which the address is valid. ` +
      `It is one phase wide; HC's spread of delays would leave too little of that.` +
      (isText
        ? ` TAKE_CODE rises half a phase before the display lets the RAM go, so that the code stands long enough behind it.`
        : ""),
    chips,
  };
}

function halfOf(half: 1 | 2, flop: ClockFlop | undefined): Record<string, string> {
  return {
    [`${half}CLK`]: flop?.clock ?? LOW,
    [`${half}D`]: flop?.data ?? LOW,
    [`${half}PRE#`]: HIGH,
    [`${half}CLR#`]: flop?.clear ?? HIGH,
    [`${half}Q`]: flop?.q ?? OPEN,
    [`${half}Q#`]: flop?.qLow ?? OPEN,
  };
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

function ringBlock(taps: readonly string[]): Block {
  const tap = (net: string) => (taps.includes(net) ? net : OPEN);
  return {
    title: "Ring: eight phases of the memory cycle",
    about:
      `Three ones go round among five zeros, so every tap is three phases wide and comes straight from a flip-flop: nothing to decode, nothing to glitch. ` +
      `Tap Tn is high in phases n, n+1 and n+2. Reset must leave three ones in it, so taps 0, 6 and 7 are stored inverted: a cleared ring stands in phase 0, the display's slot.`,
    chips: [
      chip("74HC175", "ring, phases 0 to 3", {
        CLK: "DOT",
        "CLR#": "RING_RESET#",
        "1D": "T7#",
        "1Q": "DISPLAY#",
        "1Q#": "T0",
        "2D": "T0",
        "2Q": "T1",
        "3D": "T1",
        "3Q": "T2",
        "4D": "T2",
        "4Q": "T3",
        "4Q#": tap("T3#"),
      }),
      chip(
        "74HC175",
        "ring, phases 4 to 7",
        {
          CLK: "DOT",
          "CLR#": "RING_RESET#",
          "1D": "T3",
          "1Q": "T4",
          "1Q#": "PROCESSOR#",
          "2D": "T4",
          "2Q": tap("T5"),
          "2Q#": "T5#",
          "3D": "T5#",
          "3Q": "T6#",
          "3Q#": tap("SAMPLE"),
          "4D": "T6#",
          "4Q": "T7#",
          "4Q#": tap("T7"),
        },
        tap("SAMPLE") === OPEN ? {} : { remarks: { "3Q#": "T6" } },
      ),
    ],
  };
}

function strobeBlock(more: readonly Strobe[]): Block {
  const strobes: readonly Strobe[] = [
    { data: "RESET#", q: "RESET_SAMPLED#" },
    { data: "RING_RESET#", q: "COUNT_RESET#" },
    { data: "LOAD_NEXT#", q: "LOAD#" },
    { data: "WRITE_NEXT", q: "WRITE" },
    ...more,
  ];
  const chips = Array.from({ length: Math.ceil(strobes.length / 6) }, (_, index) => {
    const mine = strobes.slice(6 * index, 6 * index + 6);
    const pins = mine.flatMap(({ data, q }, place) => [
      [`${place + 1}D`, data],
      [`${place + 1}Q`, q],
    ]);
    const note = index === 0 ? "registers strobes; brings the reset into step" : "registers further strobes";
    return chip("74ACT174", note, { CLK: "DOT", "CLR#": HIGH, ...Object.fromEntries(pins) });
  });
  return {
    title: "Strobes decoded a phase early, and the reset",
    about:
      `What may be active for a phase or two only is decoded from two taps and registered here. ACT takes the ring and a gate with time to spare; its least delay of 3.6 ns keeps the hold time of what loads, which AHCT's 1 ns would not. ` +
      `RESET# is sampled here once and again on the processor's side, so that ring and counters are let go together with a clock edge; that second stage is also cleared by RESET# itself, so that the ring stands and no two owners drive one wire while the oscillator has not started yet.`,
    chips,
  };
}
