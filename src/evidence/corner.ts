import type { Circuit } from "../circuit/index.js";
import { arcsOf, isMissing } from "../parts/index.js";
import { type Fs, type Range, fs } from "../quantity/index.js";
import { arcKey } from "../simulation/index.js";
import type { BoardDelay, ChainStep, Chains } from "../timing/index.js";

/** Which way a delay should lie, within its limits. */
export type End = "min" | "max";

/**
 * What a board must be like for two chains to come as far apart as their limits allow: a value for each delay that counts, by
 * `arcKey` and `wireKey`, and ends or times for the oscillator.
 */
export interface Corner {
  readonly arcs: ReadonlyMap<string, Fs>;
  readonly wires: ReadonlyMap<string, Fs>;
  readonly period?: End | Fs;
  readonly high?: End | Fs;
}

/** The corner that asks for nothing. */
export const NOWHERE: Corner = { arcs: new Map(), wires: new Map() };

/** Values in place of limits: of delays, by `stepKey`. */
export type Relaxed = ReadonlyMap<string, Fs>;

/** Names the delay of a step: steps of one key have one value. */
export function stepKey({ kind, label, edge, change }: ChainStep): string {
  return `${kind} ${label} ${edge ?? ""} ${change ?? ""}`;
}

/** The value of a step's delay in a corner. */
export function valueOf(step: ChainStep, relaxed: Relaxed): Fs {
  return relaxed.get(stepKey(step)) ?? step[step.used];
}

/** The corner of the two chains of a verdict; some delays relaxed. */
export function cornerOf(circuit: Circuit, chains: Chains, relaxed: Relaxed = new Map()): Corner {
  const arcs = new Map<string, Fs>();
  const wires = new Map<string, Fs>();
  for (const step of [...chains.earlier, ...chains.later]) {
    if (step.cancelled) continue;
    const value = valueOf(step, relaxed);
    if (step.kind === "wire") wires.set(`${step.from} to ${step.to}`, value);
    if (step.kind === "arc") for (const key of arcKeysOf(circuit, step)) arcs.set(key, value);
  }
  const { period, high } = chains.between;
  return { arcs, wires, ...(period && { period }), ...(high && { high }) };
}

/** The corner of a board that has exactly a margin which was decided case by case. */
export function cornerOfBoard(board: readonly BoardDelay[]): Corner {
  const times = new Map(board.map(({ name, value }) => [name, value]));
  const [period, high] = [times.get("period"), times.get("high time")];
  const delays = [...times].filter(([name]) => name !== "period" && name !== "high time");
  const WIRE = "wire ";
  return {
    arcs: new Map(delays.filter(([name]) => !name.startsWith(WIRE))),
    wires: new Map(
      delays.flatMap(([name, value]) => (name.startsWith(WIRE) ? [[name.slice(WIRE.length), value] as const] : [])),
    ),
    ...(period !== undefined && { period }),
    ...(high !== undefined && { high }),
  };
}

/** Each delay of the two chains that a corner sets, once, with its value. */
export function stepValues(
  chains: Chains,
  { arcs, wires }: Corner,
): readonly { readonly step: ChainStep; readonly value: Fs }[] {
  const steps = new Map([...chains.earlier, ...chains.later].map((step) => [stepKey(step), step]));
  return [...steps.values()].flatMap((step) => {
    const { kind, chip, from, to, edge, change } = step;
    const set =
      kind === "wire"
        ? wires.get(`${from} to ${to}`)
        : edge && change && arcs.get(arcKey(chip, from, edge, to, change));
    return set === undefined ? [] : [{ step, value: set }];
  });
}

/** The gap between the two chains in such a corner, in femtoseconds. */
export function gapIn({ earlier, later, between }: Chains, relaxed: Relaxed = new Map()): number {
  const sum = (steps: readonly ChainStep[]) =>
    steps.reduce((all, step) => (step.cancelled ? all : all + valueOf(step, relaxed)), 0);
  return between.time + sum(later) - sum(earlier);
}

/**
 * The arcs that a step may stand for: its own; where it stands for several, or for an edge that cannot make the change, all
 * from its pin to its output that have its limits.
 */
function arcKeysOf({ chips }: Circuit, step: ChainStep): readonly string[] {
  const { chip: ref, from, to, edge, change, isOneOfSeveral, min, max } = step;
  const chip = chips.find((one) => one.ref === ref);
  if (!chip) return [];
  const moves = arcsOf(chip.part.behaviour)
    .filter((arc) => arc.from === from && arc.to === to)
    .flatMap((arc) => arc.moves);
  const own = moves.filter((move) => move.edge === edge && move.change === change);
  const alike = moves.filter((move) => {
    const figure = chip.part.figures.delay(from, move.edge, to, move.change);
    return !isMissing(figure) && figure.min === min && figure.max === max;
  });
  return (own.length > 0 && !isOneOfSeveral ? own : alike).map((move) => arcKey(ref, from, move.edge, to, move.change));
}

/** Both corners at once; undefined where they want one delay at both its ends. */
export function joined(one: Corner, other: Corner): Corner | undefined {
  const [arcs, wires] = [union(one.arcs, other.arcs), union(one.wires, other.wires)];
  if (!arcs || !wires || conflicts(one.period, other.period) || conflicts(one.high, other.high)) return undefined;
  const [period, high] = [one.period ?? other.period, one.high ?? other.high];
  return { arcs, wires, ...(period && { period }), ...(high && { high }) };
}

function union(one: ReadonlyMap<string, Fs>, other: ReadonlyMap<string, Fs>): ReadonlyMap<string, Fs> | undefined {
  for (const [key, end] of other) if (conflicts(one.get(key), end)) return undefined;
  return new Map([...one, ...other]);
}

function conflicts(one: End | Fs | undefined, other: End | Fs | undefined): boolean {
  return one !== undefined && other !== undefined && one !== other;
}

/** The period and high time of an oscillator as a corner asks for them; their middle where it asks for none. In fs. */
export function oscillatorAt(
  { period, duty }: { readonly period: Range<Fs>; readonly duty: Range },
  corner: Pick<Corner, "period" | "high">,
): { readonly period: Fs; readonly high: Fs } {
  const within = ({ min, max }: Range, wanted: End | Fs | undefined) => {
    if (typeof wanted === "number") return wanted;
    return wanted === undefined ? Math.round((min + max) / 2) : wanted === "min" ? min : max;
  };
  const length = within(period, corner.period);
  const high = within({ min: Math.ceil(duty.min * length), max: Math.floor(duty.max * length) }, corner.high);
  return { period: fs(length), high: fs(high) };
}
