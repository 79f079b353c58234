import { type ChipModel, type Model, type PinModel, type Verdict, EITHER } from "../timing/index.js";
import { type Bundle, NotTold, type OutputEdge, type Span, isOverBefore } from "./bundle.js";
import type { Orders } from "./decisions.js";
import type { Input } from "./output-cluster.js";
import { type Linear, less } from "./unknowns.js";
import { setOf } from "./levels.js";
import type { Capturing, Unrolling } from "./unrolling.js";

/** Two bundles whose edges a rule holds against each other. */
export interface Pair {
  /** Equal for pairs that differ in their ticks only. */
  readonly shape: string;
  /** In which oscillator period from power-up it is. */
  readonly tick: number;
  /** Not more than the time that there is, by the limits alone, in femtoseconds. */
  readonly least: number;
  /**
   * The times that there are in a case: differences of which the least is the available time. One that is not positive on
   * any board is of a change on the other side of its capture where `hasOtherSide`.
   */
  gaps(orders: Orders): readonly Linear[];
  readonly hasOtherSide: boolean;
}

/** A rule at a place, as a verdict names it. */
export type Place = Pick<Verdict, "rule" | "symbol" | "chip" | "pin" | "reference" | "net">;

/** Changes further apart than so many oscillator periods are none of one capture's. */
const FAR_PERIODS = 4;

/** Time from which on pairs are not looked at, in femtoseconds. */
export function farIn({ period }: Pick<Unrolling, "period">): number {
  return FAR_PERIODS * period.min;
}

/** Every pair of bundles that a rule at a place is about. Throws NotTold or Race; NotTold also for rules that are not decided here. */
export function pairsOf(unrolling: Unrolling, verdict: Place): readonly Pair[] {
  switch (verdict.rule) {
    case "set-up":
    case "hold":
      return aroundCaptures(unrolling, verdict);
    case "pulse width":
    case "clock period":
      return clockShape(unrolling, verdict);
    case "contention":
      return handOvers(unrolling, verdict);
    default:
      throw new NotTold(`the rule ${verdict.rule}`);
  }
}

function aroundCaptures(unrolling: Unrolling, { rule, chip: ref, pin: name, reference }: Place): readonly Pair[] {
  const found: Pair[] = [];
  for (const chip of sectionsAt(unrolling.model, ref, name)) {
    const pin = pinOf(chip, name);
    if (!pin) continue;
    for (const [index, gate] of chip.gates.entries()) {
      const clock = pinOf(chip, reference);
      if (!clock || !gate.logic.slots.includes(clock.slot)) continue;
      if (!gate.bits.some((bit) => bit.next.slots.includes(pin.slot))) continue;
      const [clockInput] = unrolling.inputsAt(chip, clock);
      if (!clockInput) continue;
      const data = unrolling.inputsAt(chip, pin);
      for (const capture of unrolling.captures(chip, index)) {
        const { bundle } = capture;
        const sets = around(unrolling, chip, capture);
        if (!gate.bits.some((bit) => bit.next.dependsOn(pin.slot, sets))) continue;
        for (const input of data) {
          for (const change of near(unrolling, input.bundles, bundle)) {
            const pair = captured(unrolling, rule === "set-up", [input, change], [clockInput, bundle]);
            if (pair) found.push(pair);
          }
        }
      }
    }
  }
  return found;
}

type At = readonly [input: Input, bundle: Bundle];

/** Those bundles, which come in order, that may come within so many periods of a capture. */
function near({ period }: Unrolling, bundles: readonly Bundle[], capture: Bundle): readonly Bundle[] {
  const far = (FAR_PERIODS + 1) * period.max;
  const isFar = (one: Bundle, other: Bundle) => leastBetween(one.span, other.span, period) > far;
  let [low, high] = [0, bundles.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    const bundle = bundles[middle];
    if (bundle && isFar(bundle, capture)) low = middle + 1;
    else high = middle;
  }
  const found: Bundle[] = [];
  for (let index = low; index < bundles.length; index++) {
    const bundle = bundles[index];
    if (!bundle || isFar(capture, bundle)) break;
    found.push(bundle);
  }
  return found;
}

function captured(
  unrolling: Unrolling,
  isBefore: boolean,
  [input, change]: At,
  [clock, capture]: At,
): Pair | undefined {
  const { period } = unrolling;
  const ticks = change.span.tick - capture.span.tick;
  const [changes, captures] = [unrolling.atPin(change.span), unrolling.atPin(capture.span)];
  const [first, second] = isBefore ? [changes, captures] : [captures, changes];
  const least = leastBetween(first, second, period);
  if (isOverBefore(second, first, period) || least >= farIn(unrolling)) return undefined;
  return {
    shape: `${input.wire ?? ""} ${change.shape} ${ticks} ${capture.shape}`,
    tick: capture.span.tick,
    least,
    hasOtherSide: true,
    gaps(orders) {
      const [edge] = capture.edges(orders);
      if (!edge) return [];
      const at = unrolling.arrival(edge.time, clock);
      return change.edges(orders).flatMap(({ time }) => {
        const comes = unrolling.arrival(time, input);
        return [isBefore ? less(at, comes) : less(comes, at)];
      });
    },
  };
}

/** The least time from one span to another; negative where the other may come first. */
function leastBetween(one: Span, other: Span, period: { readonly min: number; readonly max: number }): number {
  const ticks = other.tick - one.tick;
  return other.least - one.most + ticks * (ticks >= 0 ? period.min : period.max);
}

/** Every level that each slot of a section may have about a capture, from so many ticks before it to as many after. */
function around(unrolling: Unrolling, chip: ChipModel, capture: Capturing): (slot: number) => number {
  const known = new Map<number, number>();
  return (slot) => {
    const fixed = chip.fixed[slot];
    if (fixed) return fixed;
    const set = known.get(slot) ?? levelsAround(unrolling, chip, slot, capture);
    known.set(slot, set);
    return set;
  };
}

function levelsAround(unrolling: Unrolling, chip: ChipModel, slot: number, { span, stored }: Capturing): number {
  const pin = chip.pins.find((one) => one.slot === slot);
  if (!pin) return stored.has(slot) ? setOf(stored.get(slot)) : EITHER;
  const { period } = unrolling;
  let levels = 0;
  for (const { before, bundles } of unrolling.inputsAt(chip, pin)) {
    let own = setOf(before);
    for (const bundle of bundles) {
      const comes = unrolling.atPin(bundle.span);
      if (isOverBefore(comes, span, period)) own = setOf(bundle.to);
      else if (!isOverBefore(span, comes, period)) own |= setOf(bundle.to) | (bundle.isOneEdge ? 0 : EITHER);
    }
    levels |= own;
  }
  return levels;
}

function clockShape(unrolling: Unrolling, { rule, symbol, chip: ref, pin: name }: Place): readonly Pair[] {
  const chip = sectionsAt(unrolling.model, ref, name)[0];
  const pin = chip && pinOf(chip, name);
  const [input, another] = chip && pin ? unrolling.inputsAt(chip, pin) : [];
  if (!chip || !pin || !input || another) throw new NotTold("a clock of several drivers");
  const gates = chip.gates.flatMap(({ kind, logic }, index) =>
    kind === "clock" && logic.slots.includes(pin.slot) ? [index] : [],
  );
  if (gates.length === 0) throw new NotTold("no clock");
  // Each of the clock's edges comes on every board: else this tells that it may not.
  const captures = gates.map((gate) => unrolling.captures(chip, gate).map(({ bundle }) => bundle));
  if (rule === "clock period") return captures.flatMap((bundles) => inTurn(unrolling, bundles));
  const begins = symbol.endsWith("low") ? 0 : 1;
  const edges = input.bundles.filter(({ from, to }) => from !== to);
  return inTurn(unrolling, edges, ({ to }) => to === begins);
}

/** Each edge with the one after it, where it is one of those that count. */
function inTurn(
  { period }: Unrolling,
  edges: readonly Bundle[],
  counts: (edge: Bundle) => boolean = () => true,
): Pair[] {
  return edges.flatMap((one, index): Pair[] => {
    const other = edges[index + 1];
    if (!other || !counts(one)) return [];
    return [
      {
        shape: `${one.shape} ${other.span.tick - one.span.tick} ${other.shape}`,
        tick: other.span.tick,
        least: leastBetween(one.span, other.span, period),
        hasOtherSide: false,
        gaps(orders) {
          const [from] = one.edges(orders);
          const [to] = other.edges(orders);
          return from && to ? [less(to.time, from.time)] : [];
        },
      },
    ];
  });
}

/** One driver of a net must have let go before the other begins to drive. */
function handOvers(unrolling: Unrolling, { chip, pin, reference, net }: Place): readonly Pair[] {
  const drivers = unrolling.model.nets.find((one) => one.net.name === net)?.drivers ?? [];
  const [leaves, leavesPin] = reference.split(" ");
  const taker = drivers.find((one) => one.chip.chip.ref === chip && one.output.pin === pin);
  const leaver = drivers.find((one) => one.chip.chip.ref === leaves && one.output.pin === leavesPin);
  if (!taker || !leaver) throw new NotTold("no such drivers");
  const { period } = unrolling;
  const isTake = ({ before }: OutputEdge) => before === 2;
  const isRelease = ({ after }: OutputEdge) => after === 2;
  const takes = unrolling.wave(taker.cell).bundles.filter((bundle) => mayHold(bundle, "take"));
  const releases = unrolling.wave(leaver.cell).bundles.filter((bundle) => mayHold(bundle, "release"));
  return takes.flatMap((take): Pair[] => {
    return lastReleases(releases, take, period).map((before): Pair => {
      return {
        shape: `${before.shape} ${take.span.tick - before.span.tick} ${take.shape}`,
        tick: take.span.tick,
        least: leastBetween(before.span, take.span, period),
        hasOtherSide: false,
        gaps(orders) {
          const left = before.edges(orders).filter(isRelease);
          return take
            .edges(orders)
            .filter(isTake)
            .flatMap(({ time }) => left.map((edge) => less(time, edge.time)));
        },
      };
    });
  });
}

/**
 * The bundles of which one holds the last release before a net is taken: what is let go surely afterwards is another
 * hand-over, and one that may hold no release leaves the one before it to be the last.
 */
function lastReleases(releases: readonly Bundle[], take: Bundle, period: Unrolling["period"]): readonly Bundle[] {
  const found: Bundle[] = [];
  for (const release of releases.filter(({ span }) => !isOverBefore(take.span, span, period)).reverse()) {
    found.push(release);
    if (release.isOneEdge) break;
  }
  return found;
}

function mayHold({ from, to, isOneEdge }: Bundle, what: "take" | "release"): boolean {
  return !isOneEdge || (what === "take" ? from === 2 : to === 2);
}

function sectionsAt({ chips }: Model, ref: string, pin: string): readonly ChipModel[] {
  return chips.filter((chip) => chip.chip.ref === ref && pinOf(chip, pin) !== undefined);
}

function pinOf(chip: ChipModel, name: string): PinModel | undefined {
  return chip.pins.find((pin) => pin.name === name);
}
