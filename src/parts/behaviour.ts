import type { Expression } from "./expression.js";

/** What a pin is for. `in-out` pins both drive and receive (a RAM's data, a transceiver). */
export type PinRole = "input" | "output" | "in-out" | "supply" | "ground" | "unconnected";

export interface Pin {
  /** The one name this project uses; makers' other names are aliases of the behaviour. */
  readonly name: string;
  readonly role: PinRole;
  /** The name under which data-sheet rows speak of the pin: `Q` for `QA` to `QD`. A pin alone is its own group. */
  readonly group: string;
}

/** A level that takes a storage bit over whatever its clock does: clear, preset, asynchronous load. */
export interface Override {
  readonly when: Expression;
  readonly value: Expression;
}

/** One bit that takes `next` when `clock` rises. A falling-edge part has `!CLK` for its clock. */
export interface Register {
  readonly kind: "register";
  readonly name: string;
  readonly clock: Expression;
  readonly next: Expression;
  /** In order of precedence; empty where the part has none. */
  readonly overrides: readonly Override[];
}

/** One bit that follows `next` while `open` is true and keeps its value otherwise. */
export interface Latch {
  readonly kind: "latch";
  readonly name: string;
  readonly open: Expression;
  readonly next: Expression;
  readonly overrides: readonly Override[];
}

export type Storage = Register | Latch;

/** What one output pin shows: `value` of input pins and storage bits; nothing driven while `enable` is false. */
export interface Output {
  readonly pin: string;
  readonly value: Expression;
  /** Absent on outputs that always drive. */
  readonly enable?: Expression;
}

/** An array of words: static RAM, or a read-only memory when `write` is absent. Bit 0 of each list is the least. */
export interface Memory {
  readonly address: readonly string[];
  readonly data: readonly string[];
  /** Outputs drive while this is true (and no write goes on). */
  readonly read: Expression;
  /** The selected cell takes the data while this is true. */
  readonly write?: Expression;
}

/** A free-running clock on one output pin (an oscillator can). `enable` absent: it always runs. */
export interface ClockSource {
  readonly pin: string;
  readonly enable?: Expression;
}

/**
 * A processor on the board's bus. When and what its pins drive follows from its program, which nobody knows; `releasedBy` are
 * the inputs, all active low, that make it let go of them.
 */
export interface BusMaster {
  readonly releasedBy: readonly string[];
}

/** Every port onto a behaviour's words; none where it holds no array. */
export function memoryPorts({ memory, otherPorts = [] }: Behaviour): readonly Memory[] {
  return memory ? [memory, ...otherPorts] : [];
}

/**
 * What a function does, for every family and maker that builds it: pins, storage, outputs. Delays and requirements are not
 * listed; they follow from the expressions (see `arcs.ts` and `requirements.ts`) and get their numbers from figures.
 */
export interface Behaviour {
  /** The function's number in the trade: `163`, `244`; for memories the organisation: `32Kx8`. */
  readonly function: string;
  readonly title: string;
  readonly pins: readonly Pin[];
  /** Other makers' names for pins and groups, to this project's names: `1CP` to `1CLK`, `CP` to `CLK`. */
  readonly aliases: Readonly<Record<string, string>>;
  readonly storage: readonly Storage[];
  readonly outputs: readonly Output[];
  readonly memory?: Memory;
  /** Further ports onto the same words, as a dual-port RAM has them; each with addresses, data and controls of its own. */
  readonly otherPorts?: readonly Memory[];
  readonly clockSource?: ClockSource;
  readonly master?: BusMaster;
  /** Output pins of which is not said when and what they drive: the BUSY# of a dual-port RAM. */
  readonly undescribed: readonly string[];
}
