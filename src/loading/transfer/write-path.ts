import type { Chip, NetId } from "../../circuit/index.js";
import type { PinClock } from "./pin-clock.js";
import type { Level, Strobe } from "./pins.js";

/** One or more pulses of a strobe on the way of a byte into the memory. */
export interface Stage {
  readonly strobe: Strobe;
  /** Inputs that choose what the pulse does, and their levels. */
  readonly held: ReadonlyMap<NetId, Level>;
  readonly pulses: number;
}

/** Where a bit of an address or of data comes from. */
export type BitSource =
  | { readonly kind: "fixed"; readonly level: Level }
  /** The level of an input at a pulse of a stage, both counted from 0; turned over where `inverted`. */
  | {
      readonly kind: "line";
      readonly stage: number;
      readonly pulse: number;
      readonly net: NetId;
      readonly inverted: boolean;
    };

/** How a byte gets into a memory from the processor's side: stage after stage, the last of them writes. */
export interface WritePath {
  readonly ram: Chip;
  readonly stages: readonly Stage[];
  /** Of the memory's own pins, A0 and the first data pin first. */
  readonly address: readonly BitSource[];
  readonly data: readonly BitSource[];
  /** Of all inputs, between two bytes. */
  readonly rest: ReadonlyMap<NetId, Level>;
  /** The memory is written all the time with what is latched: no pulse of its own begins a write. */
  readonly isFree: boolean;
}

/** Levels that the inputs have at each pulse of each stage, for one byte. */
export type PulseLevels = readonly (readonly ReadonlyMap<NetId, Level>[])[];

export function levelsFor({ stages, address, data }: WritePath, at: number, byte: number): PulseLevels {
  const levels = stages.map(({ pulses }) => Array.from({ length: pulses }, () => new Map<NetId, Level>()));
  const put = (source: BitSource, bit: number) => {
    if (source.kind === "fixed") return;
    levels[source.stage]?.[source.pulse]?.set(source.net, (bit ^ (source.inverted ? 1 : 0)) as Level);
  };
  address.forEach((source, bit) => put(source, Math.floor(at / 2 ** bit) & 1));
  data.forEach((source, bit) => put(source, (byte >> bit) & 1));
  return levels;
}

/** Gives one pulse of a stage: what it holds and the lines first, then the strobe there and back; or a cycle of the board's bus. */
export function pulse(clock: PinClock, { strobe, held }: Stage, levels: ReadonlyMap<NetId, Level>): void {
  if (strobe.beat) return clock.cycle(strobe.beat, levels, held);
  for (const [net, level] of held) clock.set(net, level);
  for (const [net, level] of levels) clock.set(net, level);
  clock.set(strobe.net, strobe.rest === 1 ? 0 : 1);
  clock.set(strobe.net, strobe.rest);
}

/** Whether a bit can be chosen from outside. */
export function isFixed(source: BitSource): source is Extract<BitSource, { kind: "fixed" }> {
  return source.kind === "fixed";
}
