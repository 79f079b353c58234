import { type Design, bitsPerDot, hasLoadDrivers, phasePeriods } from "../design.js";
import { type Block, HIGH, LOW, OPEN, type WrittenChip, bus, chip } from "./board.js";
import { clockBlock } from "./clock.js";
import type { Way } from "./decode.js";
import type { Gate } from "./gates.js";
import { fastRing, fastRingGates, slowRing } from "./ring.js";
import { type ClockFlop, type Pulse, type SharingParts, type Strobe, type Window, halfOf, tap } from "./sharing.js";
import { makeWindow } from "./windows.js";

/**
 * What cuts a cell into eight phases, numbered 0 to 7. Its nets: DOT, the clock of a phase; DISPLAY# and PROCESSOR#, low while
 * each owns the wires; LOAD#, low as the last phase of the display's read ends; the write pulses; BYTE, whose rise ends the
 * column; T7, whose rise takes a request in; COUNT_RESET# and RING_RESET#.
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
  /** The phase as which ends a byte is loaded. */
  readonly loadPhase: number;
  /** When a character's code is taken, in words. */
  readonly codeTaken: string;
  /** Makes the gates that ask for a load, of nets that are all high where the picture is. */
  readonly loadWhere: (visible: readonly string[]) => readonly Way[];
  /** Lines for the head of the file: what is active in which phase. */
  readonly picture: readonly string[];
}

/** What differs between the families in how a cell is cut up. */
interface Cut {
  readonly windows: readonly Window[];
  /** Write pulses that are registered once only, the net of each with an inverter behind its flip-flop. */
  readonly writes: readonly Window[];
  readonly flops: readonly ClockFlop[];
  readonly syncClock: string;
  readonly loadPhase: number;
  /** The phase with which columns and lines advance: not before what is read of the last column has been taken. */
  readonly bytePhase: 2 | 3;
  readonly codeTaken: string;
}

export function phasesOf(design: Design, sharing: SharingParts): Phases {
  const { family, content } = design;
  const isText = content.kind === "text";
  const isRegister = bitsPerDot(design) === 8;
  const code: readonly Pulse[] = isText ? [{ net: "TAKE_CODE", note: "takes a character's code" }] : [];
  const cut = family === "HC" ? slowCut(sharing, code) : fastCut(sharing, code);
  const made = [...sharing.windows, ...cut.windows].map((window) => makeWindow(window, family));
  // A flip-flop that nothing clears might stand at a write when power comes up.
  const writing = cut.writes.map((window) => makeWindow(window, family));
  const loads = ["LOAD", ...(isRegister ? ["CLEAR"] : [])];
  const late = family === "fast";
  // ALS109 registers a load once more: its least delay of 5 ns keeps the shift register's hold time.
  const loadNet = (name: string) => (late ? `${name}_EARLY#` : `${name}#`);
  const loading = (name: string, when: string | undefined) => {
    const at = cut.loadPhase - (late ? 1 : 0);
    return makeWindow({ net: loadNet(name), first: at, last: at, ...(when !== undefined && { when }) }, family);
  };
  const condition = isText ? "VISIBLE_LATER" : isRegister ? undefined : "VISIBLE";
  const loadStrobes = [
    ...loading("LOAD", condition).strobes,
    ...(isRegister ? loading("CLEAR", "VISIBLE#").strobes : []),
  ];
  const strobes: readonly Strobe[] = [
    { data: "RESET#", q: "RESET_SAMPLED#" },
    { data: late ? "RESET_SAMPLED#" : "RING_RESET#", q: "COUNT_RESET#" },
    ...loadStrobes,
    ...made.flatMap((one) => one.strobes),
    ...writing.flatMap((one) => one.strobes.slice(0, -1)),
  ];
  const own: readonly (readonly Way[])[] = [
    ...[...made, ...writing].map(({ ways }) => ways),
    ...(late
      ? []
      : [
          (["OR", "AND"] as const).map((kind): Way => [
            {
              kind,
              inputs: ["T3"],
              output: "BYTE",
              remark: "T3 itself would come late into the ring with all that BYTE drives",
            },
          ]),
        ]),
  ];
  const cleared: readonly Strobe[] = [
    ...sharing.enables.flatMap(({ net, soon, between, inReset }): readonly Strobe[] => [
      ...(between === undefined ? [] : [{ data: soon.output, q: between }]),
      { data: between ?? soon.output, q: inReset === "low" ? net : net.replace("#", "") },
    ]),
    ...writing.flatMap((one) => one.strobes.slice(-1)),
  ];
  const between = new Set(sharing.enables.map((enable) => enable.between));
  const quick = [
    ...sharing.gates,
    ...sharing.enables.map(({ soon }) => soon),
    ...cleared.flatMap(({ q }): readonly Gate[] =>
      q.endsWith("#") || between.has(q) ? [] : [{ kind: "NOT", inputs: [q], output: `${q}#`, isQuick: true }],
    ),
  ].map((gate) => settled(gate, late));
  const inputs = new Set([
    ...quick.flatMap((gate) => gate.inputs),
    ...[...own, loading("LOAD", condition).ways, loading("CLEAR", "VISIBLE#").ways].flatMap((ways) =>
      (ways[0] ?? []).flatMap((gate) => gate.inputs),
    ),
    ...sharing.block.chips.flatMap(({ pins }) => [...pins.values()]),
  ]);
  const isRead = (net: string) => inputs.has(net);
  const stages = Math.log2(phasePeriods(design));
  return {
    blocks: [
      clockBlock(design, stages, [...cut.flops, ...sharing.flops], late ? "" : HALF_PHASE),
      late ? fastRing(cut.bytePhase, isRead) : slowRing(isRead),
      strobeBlock(...shared(strobes, cleared), !late ? [] : hasLoadDrivers(design) ? drivenLoad() : loadedOnce(loads)),
    ],
    gates: [...(late ? fastRingGates(cut.bytePhase, isRead) : []), ...quick],
    choices: own,
    syncClock: cut.syncClock,
    loadPhase: cut.loadPhase,
    codeTaken: cut.codeTaken,
    loadWhere: (visible) => {
      const seen = isText || isRegister || sharing.needsVisible || late;
      // Fast logic asks for the register's clearing by where the picture is, not by where it is not.
      const needsNet = isText || !isRegister || sharing.needsVisible || late;
      const ways: Way[] = [];
      if (seen) {
        const gates: Gate[] = [
          ...(needsNet ? conjunction(visible, "VISIBLE") : []),
          ...(isRegister && !needsNet ? conjunction(visible, "VISIBLE#") : []),
          ...(isRegister && needsNet && !late
            ? [{ kind: "NOT", inputs: ["VISIBLE"], output: "VISIBLE#" } as const]
            : []),
        ];
        const load = loading("LOAD", condition).ways[0] ?? [];
        const clear = isRegister ? (loading("CLEAR", "VISIBLE#").ways[0] ?? []) : [];
        return [[...gates, ...load, ...clear]];
      }
      const load = (nets: readonly string[]): Gate => ({
        kind: "NAND",
        inputs: [tap(cut.loadPhase - 1), tap(cut.loadPhase - 3), ...nets],
        output: "LOAD_NEXT#",
        remark: `both taps are high in phase ${cut.loadPhase - 1} only; for the flip-flop that loads at the end of phase ${cut.loadPhase}`,
      });
      if (visible.length >= 2)
        ways.push([...conjunction(visible.slice(0, 4), "VISIBLE"), load(["VISIBLE", ...visible.slice(4)])]);
      if (visible.length <= 6) ways.unshift([load(visible)]);
      return ways;
    },
    picture: [
      "  phase       0     1     2     3     4     5     6     7",
      "  DISPLAY#    low   low   low   -     -     -     -     -      counters address the RAM, the RAM drives",
      ...(isText
        ? [row("TAKE_CODE", { net: "", first: 2, last: 4 }, late ? 0 : 0.5, "its rise takes the code that was read")]
        : []),
      row(
        "LOAD#",
        { net: "#", first: cut.loadPhase, last: cut.loadPhase },
        0,
        isText ? "the dots of the code before are taken" : "the byte is taken as the phase ends",
      ),
      ...sharing.picture,
      ...sharing.writes.map(({ net }) =>
        row(net, { net: "#", first: 5, last: 5 }, late ? 0 : 0.5, "writes the RAM where it is asked for"),
      ),
      ...sharing.takes.map(({ net }) =>
        row(net, { net: "", first: 6, last: 6 }, late ? 0 : 0.5, "its rise takes what the RAM holds"),
      ),
      row(
        "BYTE",
        { net: "", first: cut.bytePhase, last: cut.bytePhase + 2 },
        0,
        "columns and lines advance as it rises",
      ),
      "",
      "In phases 3 and 7 nobody drives the address or data wires: a slow buffer has time to let go.",
    ],
  };
}

/** A line of the head: in which phases a net is active, `late` of one later. */
function row(name: string, { net, first, last }: Window, late: number, words: string): string {
  const active = net.endsWith("#") ? "low" : "high";
  const phases = Array.from({ length: 8 }, (_, phase) => {
    if (late === 0) return phase >= first && phase <= last ? active : "-";
    if (phase === first || phase === last + 1) return "half";
    return phase > first && phase <= last ? active : "-";
  });
  return `  ${name.padEnd(12)}${phases.map((one) => one.padEnd(6)).join("")} ${words}`;
}

/** A gate that must be quick is so in the quick family only: 74HC takes two of a phase. */
function settled(gate: Gate, isQuick: boolean): Gate {
  if (isQuick || !gate.isQuick) return gate;
  const { isQuick: _, ...plain } = gate;
  return plain;
}

/** Gates whose last is high, or low where its net ends in `#`, where all of these nets are high. */
function conjunction(nets: readonly string[], output: string): readonly Gate[] {
  const kind = output.endsWith("#") ? "NAND" : "AND";
  if (nets.length <= 4) return [{ kind, inputs: nets, output, remark: "the picture" }];
  const part = `${output.replace("#", "")}_PART`;
  return [
    { kind: "AND", inputs: nets.slice(0, 4), output: part },
    { kind, inputs: [part, ...nets.slice(4, 7)], output, remark: "the picture" },
  ];
}

const HALF_PHASE =
  `Write pulses are clocked by DOT#, half a phase after everything else: they then lie in the middle of the time in which the address is valid. ` +
  `They are one phase wide; HC's spread of delays would leave too little of that.`;

/** 74HC: what is read is taken and what is written is written half a phase late, in the middle of the byte's time. */
function slowCut(sharing: SharingParts, code: readonly Pulse[]): Cut {
  const written = (net: string) => net.replace("WE", "WRITE").replace("#", "");
  return {
    windows: [
      ...sharing.writes.map(({ net, when }): Window => ({
        net: written(net),
        first: 5,
        last: 5,
        ...(when !== undefined && { when }),
      })),
      ...sharing.takes.map(({ net, when }): Window => ({
        net: `${net}_SLOT#`,
        first: 6,
        last: 6,
        ...(when !== undefined && { when }),
      })),
      ...code.map(({ net }): Window => ({ net: `${net}_SLOT#`, first: 2, last: 4 })),
    ],
    writes: [],
    flops: [
      ...sharing.writes.map(({ net, note }) => ({ note, clock: "DOT#", data: written(net), q: OPEN, qLow: net })),
      ...[...sharing.takes, ...code].map(({ net, note }) => ({
        note: `${note}, in the middle of a phase`,
        clock: "DOT#",
        data: `${net}_SLOT#`,
        q: OPEN,
        qLow: net,
      })),
    ],
    syncClock: code.length > 0 ? "T2" : "T3",
    loadPhase: code.length > 0 ? 1 : 2,
    bytePhase: 3,
    codeTaken: "in the middle of phase 2",
  };
}

/** 74ACT and 74AHCT: half a phase would be too short for a flip-flop; a whole one is enough for quick RAMs. */
function fastCut(sharing: SharingParts, code: readonly Pulse[]): Cut {
  return {
    writes: sharing.writes.map(({ net, when }): Window => ({
      net: net.replace("#", ""),
      first: 5,
      last: 5,
      ...(when !== undefined && { when }),
    })),
    windows: [
      ...sharing.takes.map(({ net, when }): Window => ({
        net,
        first: 6,
        last: 6,
        ...(when !== undefined && { when }),
      })),
      ...code.map(({ net }): Window => ({ net, first: 2, last: 4 })),
    ],
    flops: [],
    syncClock: code.length > 0 ? "T1" : "BYTE",
    loadPhase: code.length > 0 ? 0 : 1,
    bytePhase: code.length > 0 ? 3 : 2,
    codeTaken: "as phase 2 begins",
  };
}

/**
 * Strobes that rest low may be cleared with the rest: where that saves a chip they take the free places of one that is, so that
 * less hangs on the clock of a phase. A can is made for ten TTL inputs.
 */
function shared(strobes: readonly Strobe[], cleared: readonly Strobe[]): [readonly Strobe[], readonly Strobe[]] {
  const over = strobes.length % 6;
  const free = (6 - (cleared.length % 6)) % 6;
  const moved = strobes.filter(({ q }) => !q.endsWith("#")).slice(0, over);
  if (over === 0 || moved.length < over || free < over) return [strobes, cleared];
  return [strobes.filter((strobe) => !moved.includes(strobe)), [...cleared, ...moved]];
}

function strobeBlock(strobes: readonly Strobe[], cleared: readonly Strobe[], loading: readonly WrittenChip[]): Block {
  const chips: WrittenChip[] = [
    ...registers(strobes, HIGH, (index) =>
      index === 0 ? "registers strobes; brings the reset into step" : "registers further strobes",
    ),
    ...registers(
      cleared,
      "RESET#",
      () => "registers what enables and writes; in reset one RAM drives and nothing else",
    ),
    ...loading,
  ];
  return {
    title: "Strobes decoded a phase early, and the reset",
    about:
      `What may be active for a phase or two only is decoded from two taps and registered here. ACT takes the ring and a gate with time to spare; its least delay of 3.6 ns keeps the hold time of what loads, which AHCT's 1 ns would not. ` +
      `RESET# is sampled here once and again on the processor's side, so that ring and counters are let go together with a clock edge; that second stage is also cleared by RESET# itself, so that the ring stands and no two owners drive one wire while the oscillator has not started yet.`,
    chips,
  };
}

/** What loads shift registers or registers of quick logic, registered once more. */
function loadedOnce([one, other]: readonly string[]): readonly WrittenChip[] {
  const half = (at: 1 | 2, name: string | undefined) => ({
    [`${at}CLK`]: name === undefined ? LOW : "DOT",
    [`${at}J, ${at}K#`]: name === undefined ? LOW : `${name}_EARLY#`,
    [`${at}PRE#`]: name === undefined ? HIGH : "RING_RESET#",
    [`${at}CLR#`]: HIGH,
    ...(name !== undefined && { [`${at}Q`]: `${name}#` }),
  });
  return [
    chip("74ALS109", "registers what loads once more, late enough for its hold; J and K# together are a D input", {
      ...half(1, one),
      ...half(2, other),
    }),
  ];
}

/** The same for four shift registers in a short phase, each with a driver of its own. */
function drivenLoad(): readonly WrittenChip[] {
  return [
    chip("74F74", "registers what loads once more; quick enough for the drivers behind it", {
      ...halfOf(1, { clock: "DOT", data: "LOAD_EARLY#", q: "LOAD#", qLow: OPEN }),
      "1PRE#": "RING_RESET#",
      ...halfOf(2, undefined),
    }),
    chip("74F244", "a driver of LOAD# for each shift register, whose least delay keeps their hold time", {
      "1OE#, 2OE#": LOW,
      "1A[1..4]": "LOAD#",
      "1Y[1..4]": bus("LOAD", 4).map((net) => `${net}#`),
    }),
  ];
}

function registers(strobes: readonly Strobe[], clear: string, note: (index: number) => string): readonly WrittenChip[] {
  return Array.from({ length: Math.ceil(strobes.length / 6) }, (_, index) => {
    const pins = strobes.slice(6 * index, 6 * index + 6).flatMap(({ data, q }, place) => [
      [`${place + 1}D`, data],
      [`${place + 1}Q`, q],
    ]);
    return chip("74ACT174", note(index), { CLK: "DOT", "CLR#": clear, ...Object.fromEntries(pins) });
  });
}
