import type { Depth, VideoOutput } from "../design.js";
import { type Block, HIGH, LOW, type WrittenBoard, type WrittenChip, type WrittenPassive, chip } from "./board.js";

/** One output into a cable: the net that is shown, what its driver gives, and which cable it goes to. */
interface Drive {
  readonly shown: string;
  readonly driven: string;
  readonly cable: string;
  readonly ohms: number;
}

/**
 * Resistors of a colour's bits, the most significant first: as conductances, shares of the one that makes 0.7 V of 5 V with a
 * driver of up to 31 ohm and the monitor's 75, each twice the next. From E96.
 */
const COLOUR_OHMS: readonly (readonly number[])[] = [[432], [649, 1300], [768, 1540, 3090]];
/** The same where brightness shares its wire with sync. */
const LUMA_OHMS: readonly (readonly number[])[] = [[412], [619, 1240], [], [768, 1540, 3090, 6190]];

/** How many bits of a dot each colour has; of one bit all three show the same. */
const COLOUR_BITS: Readonly<Record<Depth, readonly (readonly [name: string, bits: readonly number[]])[]>> = {
  1: [
    ["RED", [0]],
    ["GREEN", [0]],
    ["BLUE", [0]],
  ],
  2: [
    ["RED", [1]],
    ["GREEN", [0]],
    ["BLUE", [0]],
  ],
  4: [
    ["RED", [3]],
    ["GREEN", [2, 1]],
    ["BLUE", [0]],
  ],
  8: [
    ["RED", [7, 6, 5]],
    ["GREEN", [4, 3, 2]],
    ["BLUE", [1, 0]],
  ],
};

/** The net of a bit of the dot that is shown. */
export function dotNet(bit: number, depth: Depth): string {
  return depth === 1 ? "DOTS" : `DOTS${bit}`;
}

/** What leaves the board and what the file's `picture` says of it. */
export interface VideoOutputParts {
  readonly block: Block;
  readonly resistors: WrittenBoard["passives"][number];
  readonly picture: readonly (readonly [key: string, value: string])[];
}

/** Drivers of 24 mA for all bits of a dot and the syncs, and the resistors to the cable. */
export function videoOutput(kind: VideoOutput["kind"], depth: Depth, syncs: readonly SyncNet[]): VideoOutputParts {
  return kind === "composite 15 kHz" ? onOneWire(depth) : inColours(depth, syncs);
}

function inColours(depth: Depth, syncs: readonly SyncNet[]): VideoOutputParts {
  const drives = COLOUR_BITS[depth].flatMap(([name, bits]) =>
    bits.map((bit, place): Drive => ({
      shown: dotNet(bit, depth),
      driven: bits.length === 1 ? name : `${name}${bits.length - 1 - place}`,
      cable: `MONITOR_${name}`,
      ohms: COLOUR_OHMS[bits.length - 1]?.[place] ?? 0,
    })),
  );
  const netsOf = (name: string) =>
    drives.filter(({ cable }) => cable === `MONITOR_${name}`).map(({ driven }) => driven);
  return {
    block: {
      title: "Video output",
      about:
        "A driver of 24 mA for each bit of a colour; 0.7 V into 75 ohm are 9.3 mA, more than an HC output is rated for.",
      chips: driverChips([
        ...drives.map(({ shown, driven }) => [shown, driven] as const),
        ...syncs.map(({ name }) => [`${name}_REG`, name] as const),
      ]),
    },
    resistors: {
      title: "Monitor: 0.7 V into 75 ohm",
      about:
        "5 V through up to 31 ohm of the driver (ACT: 3.76 V at 24 mA, 4.5 V and 85 °C), 432 and 75 ohm gives 0.67 to 0.77 V with resistors of 1 %; white of a monitor is 0.665 to 0.770 V." +
        (depth > 2
          ? " The bits of a colour share these 432 ohm: each lets half as much through as the one above it."
          : ""),
      parts: [
        ...drives.map((drive) => colourResistor(drive, drives)),
        ...syncs.map(({ name }): WrittenPassive => ({
          kind: "R",
          value: "68 ohm",
          between: [name, `MONITOR_${name}`],
          note: "damps reflections on the cable",
        })),
      ],
    },
    picture: ["RED", "GREEN", "BLUE"].map((name) => [name.toLowerCase(), `[${netsOf(name).join(", ")}]`]),
  };
}

function colourResistor({ driven, cable, ohms }: Drive, drives: readonly Drive[]): WrittenPassive {
  const isOnly = drives.filter((drive) => drive.cable === cable).length === 1;
  const name = cable.replace("MONITOR_", "").toLowerCase();
  return {
    kind: "R",
    value: `${ohms} ohm`,
    tolerance: "1 %",
    between: [driven, cable],
    note: isOnly ? `series resistor of ${name}` : `bit ${driven.slice(-1)} of ${name}`,
  };
}

/** As few drivers of eight as there need be, each pair the net and what is driven of it. */
function driverChips(pairs: readonly (readonly [from: string, to: string])[]): readonly WrittenChip[] {
  return Array.from({ length: Math.ceil(pairs.length / 8) }, (_, index) => {
    const mine = pairs.slice(8 * index, 8 * index + 8);
    const places = mine.map(([from, to], at) => ({ from, to, pin: `${Math.floor(at / 4) + 1}`, place: (at % 4) + 1 }));
    return chip("74ACT244", "drives the picture and the sync into the cable", {
      "1OE#, 2OE#": LOW,
      ...Object.fromEntries(places.map(({ from, pin, place }) => [`${pin}A${place}`, from])),
      ...Object.fromEntries(places.map(({ to, pin, place }) => [`${pin}Y${place}`, to])),
    });
  });
}

/**
 * Brightness and both syncs on one wire: sync at 0 V, black at 0.3, white at 1 V into 75 ohm of a 5 V that comes through up to
 * 31 ohm: with conductances adding up to 1/60 ohm, sync takes 0.06 of it and brightness 0.14.
 */
function onOneWire(depth: Depth): VideoOutputParts {
  const lumas = (LUMA_OHMS[depth - 1] ?? []).map((ohms, place) => {
    const bit = depth - 1 - place;
    return { shown: dotNet(bit, depth), driven: depth === 1 ? "LUMA" : `LUMA${bit}`, ohms };
  });
  return {
    block: {
      title: "Video output",
      about: "Brightness and sync have a driver each, 24 mA, and meet in the resistors to the cable.",
      chips: driverChips([...lumas.map(({ shown, driven }) => [shown, driven] as const), ["CSYNC_REG", "CSYNC"]]),
    },
    resistors: {
      title: "Television: 1 V from the tip of sync to white into 75 ohm",
      about:
        "Black is 0.3 V, white 1 V: 5 V through the resistors and up to 31 ohm of the drivers into the 75 ohm of the television's input.",
      parts: [
        ...lumas.map(({ driven, ohms }): WrittenPassive => ({
          kind: "R",
          value: `${ohms} ohm`,
          tolerance: "1 %",
          between: [driven, "TELEVISION"],
          note: depth === 1 ? "brightness" : `bit ${driven.slice(-1)} of brightness`,
        })),
        { kind: "R", value: "976 ohm", tolerance: "1 %", between: ["CSYNC", "TELEVISION"], note: "sync" },
      ],
    },
    picture:
      depth === 1
        ? [["video", "LUMA"]]
        : ["red", "green", "blue"].map((key) => [key, `[${lumas.map(({ driven }) => driven).join(", ")}]`]),
  };
}

/** A sync that is decoded from the counters; its flip-flop gives `HSYNC_REG`. */
export interface SyncNet {
  readonly name: "HSYNC" | "VSYNC" | "CSYNC";
  /** What is decoded: low in sync where its name ends in `#`. */
  readonly next: string;
  readonly isPositive: boolean;
}

/** Flip-flops that keep the syncs a cell behind the counters, as the picture is, and free of glitches. */
export function syncBlock(part: string, clock: string, syncs: readonly SyncNet[], turns: boolean): Block {
  const ownTurn = turns && syncs.length === 1;
  const half = (at: 1 | 2, sync: SyncNet | undefined) => ({
    [`${at}CLK`]: sync || ownTurn ? clock : LOW,
    [`${at}D`]: sync?.next ?? (ownTurn ? "VSYNC_LINE" : LOW),
    [`${at}PRE#, ${at}CLR#`]: HIGH,
    ...(sync && { [`${at}Q${sync.next.endsWith("#") === !sync.isPositive ? "" : "#"}`]: `${sync.name}_REG` }),
    ...(!sync && ownTurn && { [`${at}Q`]: "FRAME_SYNC" }),
  });
  return {
    title: "Sync",
    about:
      "The byte of a column is on the screen while the next column is counted. Flip-flops delay the syncs by the same cell and keep them free of glitches; LOAD# does it for the blanking.",
    chips: [
      chip(part, [...syncs.map(describeSync), ...(ownTurn ? ["lines of vertical sync"] : [])].join(", "), {
        ...half(1, syncs[0]),
        ...half(2, syncs[1]),
      }),
    ],
  };
}

/** The same two cells behind, and the blanking one cell behind: characters take a cell to be looked up. */
export function lateSyncBlock(part: string, clock: string, syncs: readonly SyncNet[], turns: boolean): Block {
  const chains = [
    ...syncs.flatMap(({ name, next }) => [
      [next, `${name}_EARLY`],
      [`${name}_EARLY`, `${name}_REG`],
    ]),
    ...(turns && syncs.length === 1 ? [["VSYNC_LINE", "FRAME_SYNC"]] : []),
  ];
  return {
    title: "Sync and blanking",
    about:
      "The dots of a column are on the screen two cells after it was counted: one to read its code, one to look the character up. Two flip-flops in a row delay a sync by as much and keep it free of glitches, one delays the blanking, and LOAD# once more.",
    chips: [
      chip(part, "delays syncs by two cells, blanking by one", {
        CLK: clock,
        "CLR#": HIGH,
        "1D": "VISIBLE",
        "1Q": "VISIBLE_LATER",
        ...Object.fromEntries(
          chains.flatMap(([from = "", to = ""], index) => [
            [`${index + 2}D`, from],
            [`${index + 2}Q`, to],
          ]),
        ),
      }),
    ],
  };
}

function describeSync({ name, isPositive }: SyncNet): string {
  const names = { HSYNC: "horizontal sync", VSYNC: "vertical sync", CSYNC: "both syncs" };
  return `${names[name]}, active ${isPositive ? "high" : "low"}`;
}

/** Resistors in the wires to the processor's board. */
export function connectorResistors(nets: readonly string[]): WrittenBoard["passives"][number] {
  return {
    title: "Processor's board",
    parts: nets.map((net) => ({
      kind: "R",
      value: "68 ohm",
      between: [net, `BUS_${net}`],
      note: "damps reflections on the cable",
    })),
  };
}
