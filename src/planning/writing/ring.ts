import { LOW, type Block, chip } from "./board.js";
import type { Gate } from "./gates.js";

/** The ring of 74HC: every tap and its inverse comes straight from a flip-flop. `isRead` says which of them are wired. */
export function slowRing(isRead: (net: string) => boolean): Block {
  const open = (net: string) => (isRead(net) ? net : "open");
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
        "3Q#": open("T2#"),
        "4D": "T2",
        "4Q": "T3",
      }),
      chip("74HC175", "ring, phases 4 to 7", {
        CLK: "DOT",
        "CLR#": "RING_RESET#",
        "1D": "T3",
        "1Q": "T4",
        "1Q#": "PROCESSOR#",
        "2D": "T4",
        "2Q": open("T5"),
        "2Q#": "T5#",
        "3D": "T5#",
        "3Q": "T6#",
        "3Q#": open("T6"),
        "4D": "T6#",
        "4Q": "T7#",
        "4Q#": open("T7"),
      }),
    ],
  };
}

/** The ring of 74ACT; BYTE rises as phase 2 or 3 begins. */
export function fastRing(bytePhase: 2 | 3, isRead: (net: string) => boolean): Block {
  return {
    title: "Ring: eight phases of the memory cycle",
    about:
      `Three ones go round among five zeros; tap Tn is high in phases n, n+1 and n+2. Taps 0, 6 and 7 are stored inverted, so that a cleared ring stands in phase 0. ` +
      `ACT174 asks 2.2 ns of hold and answers after 3.6 at the earliest: enough within a package; from one package to the other a gate adds its nanosecond. ` +
      `Taps with many receivers have a second flip-flop, so that the ring's own wires stay light.`,
    chips: [
      chip("74ACT174", "ring, phases 1 to 6", {
        CLK: "DOT",
        "CLR#": "RING_RESET#",
        "1D": "T0",
        "1Q": "T1",
        "2D": "T1",
        "2Q": "T2",
        "3D": "T2",
        "3Q": "T3",
        "4D": "T3",
        "4Q": "T4",
        "5D": "T4",
        "5Q": "T5",
        ...(isRead("T6") || isRead("T7") ? { "6D": "T5", "6Q": "T6" } : { "6D": LOW }),
      }),
      chip(
        "74ACT174",
        "ring, phases 6, 7 and 0",
        {
          CLK: "DOT",
          "CLR#": "RING_RESET#",
          "1D": "T5#",
          "1Q": "T6#",
          "2D": "T6#",
          "2Q": "T7#",
          "3D": "T7#",
          "3Q": "T0#",
          "4D": "T7#",
          "4Q": "DISPLAY#",
          "5D": "BYTE_NEXT",
          "5Q": "BYTE",
          ...(isRead("T7") ? { "6D": "T6_LATE", "6Q": "T7" } : { "6D": LOW }),
        },
        { remarks: { "4D": "T0# again", "5D": `T${bytePhase} again` } },
      ),
    ],
  };
}

/** Inverters of the fast ring: those it cannot do without, and those of taps that something reads. */
export function fastRingGates(bytePhase: 2 | 3, isRead: (net: string) => boolean): readonly Gate[] {
  const not = (input: string, output: string): Gate => ({ kind: "NOT", inputs: [input], output, isQuick: true });
  const late = (input: string, output: string): Gate => ({ kind: "AND", inputs: [input], output, isQuick: true });
  return [
    not("T0#", "T0"),
    not("T5", "T5#"),
    not("T4", "PROCESSOR#"),
    ...(isRead("PROCESSOR_DATA#") ? [not("T4", "PROCESSOR_DATA#")] : []),
    not("RING_RESET", "RING_RESET#"),
    late(`T${bytePhase - 1}`, "BYTE_NEXT"),
    ...(isRead("T7") ? [late("T6", "T6_LATE")] : []),
  ];
}
