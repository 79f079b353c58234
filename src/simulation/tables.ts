import type { Chip, Circuit, Net, NetId } from "../circuit/circuit.js";
import type { DecisionRoot } from "./decision.js";
import type { Lists } from "./lists.js";

/** Something that holds a value inside the circuit: an input pin as its chip sees it, or a storage bit. */
export interface Variable {
  readonly chip: Chip;
  /** Name of the pin or storage bit. */
  readonly name: string;
  readonly kind: "pin" | "storage";
  /** The net that a pin is on; a pin that is open has none and reads as unknown for ever. */
  readonly net?: Net;
}

/** Something that can drive a net. */
export interface Driver {
  readonly net: Net;
  /** Absent where the driver stands outside the circuit. */
  readonly chip?: Chip;
  readonly pin: string;
  readonly source: "logic" | "memory" | "clock" | "outside";
}

/** The wire from one driver to one receiving pin. */
export interface Wire {
  readonly driver: number;
  /** Variable of the receiving pin. */
  readonly receiver: number;
}

/** An input pin whose changes can change a driver, with up to twelve delays: two edges, six changes. */
export interface ArcGroup {
  /** Variable of the input pin. */
  readonly pin: number;
  readonly driver: number;
  /** The pin can change the level that is driven. */
  readonly level: boolean;
  /** The pin can begin and end the driving. */
  readonly enable: boolean;
}

/** One port of a memory chip. */
export interface MemoryTable {
  readonly chip: Chip;
  /** Index of the chip's first port; this table's own where it is that. Ports of one chip stand side by side. */
  readonly firstPort: number;
  /** Variables of the address pins and of the data pins as inputs; bit 0 first. */
  readonly address: readonly number[];
  readonly dataIn: readonly number[];
  /** Driver of each data pin; -1 where the pin is not on a net. */
  readonly dataOut: readonly number[];
  /** Whether the outputs drive, and whether the selected cell takes the data. */
  readonly drive: DecisionRoot;
  readonly write: DecisionRoot;
  /** Variables that `drive` or `write` reads. */
  readonly control: ReadonlySet<number>;
}

/** A circuit as flat tables, for the simulator's inner loop. Numbers in the lists are indices into the other tables. */
export interface Tables {
  readonly circuit: Circuit;
  readonly variables: readonly Variable[];
  readonly drivers: readonly Driver[];
  readonly wires: readonly Wire[];
  readonly arcs: readonly ArcGroup[];
  readonly memories: readonly MemoryTable[];
  readonly decisionVariable: Int32Array;
  readonly decisionNext: Int32Array;
  /** Of a driver: what it drives; -1 unless its source is logic. */
  readonly driverRoot: Int32Array;
  /** Of a net: the drivers on it. */
  readonly driversOfNet: Lists;
  /** Of a receiving pin on a net with several drivers: its wires. */
  readonly wiresOfPin: Lists;
  /** Of a pin: pairs of a driver whose expressions read it, and the arc group. */
  readonly readersOfPin: Lists;
  /** Of a variable: groups of registers whose clock reads it. */
  readonly clocksOf: Lists;
  /** Of a variable: storage bits whose overrides, or as a latch their enable and data, read it. */
  readonly levelsOf: Lists;
  /** Of a clock group: its clock, and the storage bits. */
  readonly clockRoot: Int32Array;
  readonly bitsOfClock: Lists;
  /** Of a clock group that pins clock: registers of other groups that its registers read (the 595's second row the first). */
  readonly readAcross: Lists;
  /** Of a storage bit: its variable, what it takes when the clock rises, and what it takes without (-1: keeps its value). */
  readonly bitVariable: Int32Array;
  readonly edgeRoot: Int32Array;
  readonly levelRoot: Int32Array;
  /**
   * Of a pin that can change storage: list `effectsOfPin[pin] + bit - firstBitOfPin[pin]` holds pairs of a driver that reads
   * the bit, and the arc group from that pin.
   */
  readonly effectsOfPin: Int32Array;
  readonly firstBitOfPin: Int32Array;
  readonly effects: Lists;
  /** Of a pin: index of the memory that it belongs to, or -1. */
  readonly memoryOfPin: Int32Array;
  /** Of a memory's address or control pin: the arc group to each data bit. */
  readonly memoryArcsOfPin: Lists;
  /** Of a clock that can be switched off, by driver: when it runs. */
  readonly clockEnables: ReadonlyMap<number, DecisionRoot>;
  /** Variable of a chip's pin or storage bit. */
  readonly variableOf: (chip: Chip, name: string) => number | undefined;
  /** Driver of a net's input from outside. */
  readonly outsideDriverOf: (net: NetId) => number | undefined;
}
