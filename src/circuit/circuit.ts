import type { Fs, Measure, Range } from "../quantity/index.js";
import type { Edge, MeasuredDelay, Metastability, Part, Source } from "../parts/index.js";

/** Index of a net in `Circuit.nets`. */
export type NetId = number & { readonly of: "net" };

/** One of the circuit's supplies. */
export interface Supply {
  /** `main`, or the name that the file gives it. */
  readonly name: string;
  readonly volts: Range;
}

/** One pin of one chip. */
export interface PinRef {
  readonly chip: Chip;
  /** The behaviour's pin name. */
  readonly pin: string;
}

export interface Net {
  readonly id: NetId;
  readonly name: string;
  /** `high` and `low` are the supply rails, always at their level. */
  readonly rail?: "high" | "low";
  /** Set on a rail that is a further supply: `3V3`. Plain `high` is the main supply. */
  readonly supply?: Supply;
  readonly drivers: readonly PinRef[];
  readonly receivers: readonly PinRef[];
  /** Set where something outside the circuit drives the net. */
  readonly input?: ExternalInput;
  /** Named under `to come`: not wired yet. */
  readonly toCome: boolean;
}

export interface Chip {
  /** The builder's name for it: `U7`. */
  readonly ref: string;
  readonly part: Part;
  /** What the chip does in the circuit, from the file; empty where it says nothing. */
  readonly note: string;
  /** The supply at its VCC pin. */
  readonly supply: Supply;
  /** Net of every signal pin; pins left open on purpose are absent. */
  readonly nets: ReadonlyMap<string, Net>;
  /** Signal pins that the file marks `open`. */
  readonly open: ReadonlySet<string>;
  /** What the builder measured of this very chip; the part's figures hold it already. */
  readonly measured?: readonly MeasuredDelay[];
}

/** Resistors and capacitors, between two nets. They take no part in timing. */
export interface Passive {
  readonly ref: string;
  readonly kind: "resistor" | "capacitor";
  /** As written: `470 ohm`, `100 nF`. */
  readonly value: string;
  /** The same in ohms or farads. */
  readonly amount: number;
  /** How far the value may be off, 0 to 1; absent where the file does not say. */
  readonly tolerance?: number;
  /** Names of nets. A net that only passives are on, such as one of a connector, is not in `Circuit.nets`. */
  readonly nets: readonly [string, string];
  readonly note: string;
}

/** The levels of a signal from outside. */
export interface OutsideLevels {
  /** `CMOS`, `TTL`, a logic family as `74LS`, or a processor. */
  readonly kind: string;
  readonly supply: Supply;
}

/** When a signal from outside may change. */
export type InputTiming =
  /** At any time, with least times between its own edges. */
  | { readonly kind: "any time"; readonly leastHigh: Fs; readonly leastLow: Fs; readonly leastRepeat: Fs }
  /** Steady around each such edge of another net, from `before` ahead of it to `after` behind it; else it may change. */
  | {
      readonly kind: "steady around";
      readonly net: NetId;
      readonly edge: Edge;
      readonly before: Fs;
      readonly after: Fs;
    }
  /** Changes only in this window after such an edge of another net. */
  | { readonly kind: "after"; readonly net: NetId; readonly edge: Edge; readonly delay: Range<Fs> }
  /** At its active level from power-up for at least `least`, then released once for good. */
  | { readonly kind: "power-up only"; readonly active: "low" | "high"; readonly least: Fs };

export interface ExternalInput {
  readonly net: NetId;
  readonly timing: InputTiming;
  /** What it comes from as far as its levels go; absent where the file does not say. */
  readonly levels?: OutsideLevels;
  /**
   * Set where a processor of the circuit is behind it. Outputs of other chips on such a net, such as the last gate of its
   * strobe, are then wired but not followed: the times say what comes of them.
   */
  readonly by?: {
    readonly chip: string;
    readonly source: Source;
    /** The level while nothing happens. */
    readonly rest: 0 | 1;
  };
}

/** A processor of the circuit. What it does on its nets is among the circuit's inputs. */
export interface BusMaster {
  readonly chip: Chip;
  readonly findings: readonly MasterFinding[];
  /** Pins, by `U7 OE#`, at which it makes chips store, drive or let go at times that are not known. */
  readonly commands: ReadonlySet<string>;
  /** Nets that it drives at times that are not known, with their level while nothing happens. */
  readonly resting: readonly { readonly net: NetId; readonly level: 0 | 1 }[];
}

/** What its figures and the gates behind it say of a processor by themselves, and what nothing says. */
export interface MasterFinding {
  readonly rule: "strobe" | "processor";
  /** A net, a pin, or `reads`. */
  readonly item: string;
  readonly state: "holds" | "fails" | "not covered";
  /** The processor's name and part number. */
  readonly chip: string;
  readonly part: string;
  readonly pin: string;
  readonly net: string;
  /** The pin that a margin is about. */
  readonly reference: string;
  /** Absent where no time decides. */
  readonly margin?: Fs;
  readonly source: Source;
  readonly note: string;
  /** Figures that no sheet on record gives. */
  readonly missing: readonly string[];
  readonly restsOn: readonly ("assumed minimum" | "from memory")[];
}

/** A failure that the builder accepts, with the margin down to which the acceptance holds. */
export interface Acceptance {
  /** The verdict's name as `prove` prints it. */
  readonly verdict: string;
  readonly reason: string;
  readonly margin: Measure;
}

/** Which nets the monitor sees. */
export interface PictureNets {
  readonly hsync: NetId;
  readonly vsync: NetId;
  /** One net for a one-bit picture; red, green and blue lists (most significant first) for colour. */
  readonly video:
    | { readonly kind: "mono"; readonly net: NetId }
    | {
        readonly kind: "colour";
        readonly red: readonly NetId[];
        readonly green: readonly NetId[];
        readonly blue: readonly NetId[];
      };
  /** Dots and lines of the picture in memory; each may repeat on the raster. */
  readonly width: number;
  readonly height: number;
}

export type BuildStyle = "breadboard" | "perfboard" | "printed board";

/** A checked circuit: every pin is on a net or open on purpose, every quantity is in base units. */
export interface Circuit {
  readonly title: string;
  /** The main supply's. */
  readonly supplyVolts: Range;
  /** All supplies, the main one first. */
  readonly supplies: readonly Supply[];
  readonly ambientCelsius: Range;
  readonly build: BuildStyle;
  /** What the file assumes where no sheet states a minimum delay, as a fraction of the typical delay. */
  readonly unstatedMinimum: { readonly fractionOfTypical: number };
  /** Part number to the publisher whose sheet alone counts for it. */
  readonly makers: ReadonlyMap<string, string>;
  /** Id or short name of the published raster that the circuit is meant to meet. */
  readonly raster: string;
  readonly chips: readonly Chip[];
  readonly nets: readonly Net[];
  readonly passives: readonly Passive[];
  readonly inputs: readonly ExternalInput[];
  readonly masters: readonly BusMaster[];
  /** What the file says of how long flip-flops may stay undecided, by part number. */
  readonly metastability?: ReadonlyMap<string, Metastability>;
  readonly accepted: readonly Acceptance[];
  readonly picture?: PictureNets;
  /** Limits of one wire's delay from a driver to a receiver, by build style. */
  readonly wireDelay: Range<Fs>;
  /** How long two drivers may fight on a net; 0 unless the file allows some. */
  readonly allowedContention: Fs;
  /** How long a net may go undriven; absent: one slot. */
  readonly allowedUndriven?: Fs;
  /** Nets listed as `to come`. */
  readonly toCome: readonly NetId[];
}
