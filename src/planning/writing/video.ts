import { type Block, HIGH, LOW, type WrittenBoard, type WrittenPassive, chip } from "./board.js";

/** Which net shows which colour before the drivers. */
export interface Colours {
  readonly red: string;
  readonly green: string;
  readonly blue: string;
}

/** Drivers of 24 mA and the resistors to a monitor with both syncs on wires of their own. */
export function vgaBlock(colours: Colours): Block {
  return {
    title: "Video output",
    about: "One driver for each colour, 24 mA; 0.7 V into 75 ohm are 9.3 mA, more than an HC output is rated for.",
    chips: [
      chip("74ACT244", "drives the three colours and both syncs into the cable", {
        "1OE#, 2OE#": LOW,
        "1A1": colours.red,
        "1A2": colours.green,
        "1A3": colours.blue,
        "1A4": LOW,
        "1Y1": "RED",
        "1Y2": "GREEN",
        "1Y3": "BLUE",
        "2A1": "HSYNC_REG",
        "2A2": "VSYNC_REG",
        "2Y1": "HSYNC",
        "2Y2": "VSYNC",
      }),
    ],
  };
}

/** A driver of 31 ohm at most, 432 ohm and the monitor's 75 ohm make 0.67 to 0.77 V of 5 V ± 3 %. */
export function vgaResistors(): WrittenBoard["passives"][number] {
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
    parts: [colour("RED"), colour("GREEN"), colour("BLUE"), sync("HSYNC"), sync("VSYNC")],
  };
}

/** Flip-flops that keep the syncs a cell behind the counters, as the picture is, and free of glitches. */
export function syncBlock(part: string, clock: string, nets: SyncNets): Block {
  const half = (at: 1 | 2, { next, isPositive }: SyncNet, out: string) => {
    const isAsked = next.endsWith("#") === !isPositive;
    return {
      [`${at}CLK`]: clock,
      [`${at}D`]: next,
      [`${at}PRE#, ${at}CLR#`]: HIGH,
      [`${at}Q${isAsked ? "" : "#"}`]: out,
    };
  };
  return {
    title: "Sync",
    about:
      "The byte of a column is on the screen while the next column is counted. These flip-flops delay the syncs by the same cell and keep them free of glitches; LOAD# does it for the blanking.",
    chips: [
      chip(part, `horizontal sync, active ${level(nets.h)}, and vertical sync, active ${level(nets.v)}`, {
        ...half(1, nets.h, "HSYNC_REG"),
        ...half(2, nets.v, "VSYNC_REG"),
      }),
    ],
  };
}

/** The same two cells behind, and the blanking one cell behind: characters take a cell to be looked up. */
export function lateSyncBlock(clock: string, nets: SyncNets): Block {
  return {
    title: "Sync and blanking",
    about:
      "The dots of a column are on the screen two cells after it was counted: one to read its code, one to look the character up. Two flip-flops in a row delay either sync by as much and keep it free of glitches, one delays the blanking, and LOAD# once more.",
    chips: [
      chip("74HC273", "delays syncs by two cells, blanking by one", {
        CLK: clock,
        "CLR#": HIGH,
        "1D": "VISIBLE",
        "1Q": "VISIBLE_LATER",
        "2D": nets.h.next,
        "2Q": "HSYNC_EARLY",
        "3D": "HSYNC_EARLY",
        "3Q": "HSYNC_REG",
        "4D": nets.v.next,
        "4Q": "VSYNC_EARLY",
        "5D": "VSYNC_EARLY",
        "5Q": "VSYNC_REG",
      }),
    ],
  };
}

export interface SyncNet {
  /** What is decoded: low in sync where its name ends in `#`. */
  readonly next: string;
  readonly isPositive: boolean;
}

export interface SyncNets {
  readonly h: SyncNet;
  readonly v: SyncNet;
}

function level({ isPositive }: SyncNet): string {
  return isPositive ? "high" : "low";
}
