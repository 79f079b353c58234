import { type Block, HIGH, LOW, type WrittenBoard, type WrittenPassive, chip } from "./board.js";

/** Which net shows which colour before the drivers. */
export interface Colours {
  readonly red: string;
  readonly green: string;
  readonly blue: string;
}

/** Drivers of 24 mA for three colours and one or two syncs on wires of their own. */
export function colourBlock(colours: Colours, syncs: readonly SyncNet[]): Block {
  return {
    title: "Video output",
    about: "One driver for each colour, 24 mA; 0.7 V into 75 ohm are 9.3 mA, more than an HC output is rated for.",
    chips: [
      chip("74ACT244", "drives the three colours and the sync into the cable", {
        "1OE#, 2OE#": LOW,
        "1A1": colours.red,
        "1A2": colours.green,
        "1A3": colours.blue,
        "1A4": LOW,
        "1Y1": "RED",
        "1Y2": "GREEN",
        "1Y3": "BLUE",
        ...Object.fromEntries(
          syncs.flatMap(({ name }, index) => [
            [`2A${index + 1}`, `${name}_REG`],
            [`2Y${index + 1}`, name],
          ]),
        ),
      }),
    ],
  };
}

/** A driver of 31 ohm at most, 432 ohm and the monitor's 75 ohm make 0.67 to 0.77 V of 5 V ± 3 %. */
export function colourResistors(syncs: readonly SyncNet[]): WrittenBoard["passives"][number] {
  const colour = (name: string): WrittenPassive => ({
    kind: "R",
    value: "432 ohm",
    tolerance: "1 %",
    between: [name, `MONITOR_${name}`],
    note: `series resistor of ${name.toLowerCase()}`,
  });
  const sync = (name: string): WrittenPassive => ({
    kind: "R",
    value: "68 ohm",
    between: [name, `MONITOR_${name}`],
    note: "damps reflections on the cable",
  });
  return {
    title: "Monitor: 0.7 V into 75 ohm",
    about:
      "5 V through up to 31 ohm of the driver (ACT: 3.76 V at 24 mA, 4.5 V and 85 °C), 432 and 75 ohm gives 0.67 to 0.77 V with resistors of 1 %; white of a monitor is 0.665 to 0.770 V.",
    parts: [colour("RED"), colour("GREEN"), colour("BLUE"), ...syncs.map(({ name }) => sync(name))],
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
export function syncBlock(part: string, clock: string, syncs: readonly SyncNet[]): Block {
  const half = (at: 1 | 2, sync: SyncNet | undefined) => ({
    [`${at}CLK`]: sync ? clock : LOW,
    [`${at}D`]: sync?.next ?? LOW,
    [`${at}PRE#, ${at}CLR#`]: HIGH,
    ...(sync && { [`${at}Q${sync.next.endsWith("#") === !sync.isPositive ? "" : "#"}`]: `${sync.name}_REG` }),
  });
  return {
    title: "Sync",
    about:
      "The byte of a column is on the screen while the next column is counted. Flip-flops delay the syncs by the same cell and keep them free of glitches; LOAD# does it for the blanking.",
    chips: [chip(part, syncs.map(describeSync).join(", "), { ...half(1, syncs[0]), ...half(2, syncs[1]) })],
  };
}

/** The same two cells behind, and the blanking one cell behind: characters take a cell to be looked up. */
export function lateSyncBlock(clock: string, syncs: readonly SyncNet[]): Block {
  const delays = syncs.flatMap(({ name, next }, index) => {
    const first = 2 * index + 2;
    return Object.entries({
      [`${first}D`]: next,
      [`${first}Q`]: `${name}_EARLY`,
      [`${first + 1}D`]: `${name}_EARLY`,
      [`${first + 1}Q`]: `${name}_REG`,
    });
  });
  return {
    title: "Sync and blanking",
    about:
      "The dots of a column are on the screen two cells after it was counted: one to read its code, one to look the character up. Two flip-flops in a row delay a sync by as much and keep it free of glitches, one delays the blanking, and LOAD# once more.",
    chips: [
      chip("74HC273", "delays syncs by two cells, blanking by one", {
        CLK: clock,
        "CLR#": HIGH,
        "1D": "VISIBLE",
        "1Q": "VISIBLE_LATER",
        ...Object.fromEntries(delays),
      }),
    ],
  };
}

function describeSync({ name, isPositive }: SyncNet): string {
  const names = { HSYNC: "horizontal sync", VSYNC: "vertical sync", CSYNC: "both syncs" };
  return `${names[name]}, active ${isPositive ? "high" : "low"}`;
}

/** Drivers and resistors of a television's input where brightness and both syncs come on one wire. */
export function compositeBlock(dots: string): Block {
  return {
    title: "Video output",
    about: "Brightness and sync have a driver each, 24 mA, and meet in the resistors to the cable.",
    chips: [
      chip("74ACT244", "drives brightness and sync into the cable", {
        "1OE#, 2OE#": LOW,
        "1A1": dots,
        "1Y1": "LUMA",
        "2A1": "CSYNC_REG",
        "2Y1": "CSYNC",
      }),
    ],
  };
}

/**
 * Sync at 0 V, black at 0.3, white at 1 V into 75 ohm of a 5 V that comes through up to 31 ohm: with conductances adding up to
 * 1/60 ohm, sync takes 0.06 of it and brightness 0.14.
 */
export function compositeResistors(): WrittenBoard["passives"][number] {
  return {
    title: "Television: 1 V from the tip of sync to white into 75 ohm",
    about:
      "Black is 0.3 V, white 1 V: 5 V through the two resistors and up to 31 ohm of the drivers into the 75 ohm of the television's input.",
    parts: [
      { kind: "R", value: "412 ohm", tolerance: "1 %", between: ["LUMA", "TELEVISION"], note: "brightness" },
      { kind: "R", value: "976 ohm", tolerance: "1 %", between: ["CSYNC", "TELEVISION"], note: "sync" },
    ],
  };
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
