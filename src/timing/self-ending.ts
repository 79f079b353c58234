import type { Edge } from "../parts/index.js";
import { isMissing } from "../parts/index.js";
import { alwaysDrives } from "./feedback.js";
import { EITHER, HIGH, LOW, type LevelSet } from "./level-set.js";
import type { ChipModel, Model, NetModel, OutputModel, PinModel } from "./model.js";
import type { Moment } from "./moment.js";
import type { Check } from "./check.js";
import type { PathId } from "./paths.js";

/** A net changes this way, by the quickest of the ways there. */
interface Reached {
  readonly net: NetModel;
  readonly edge: Edge;
  readonly path: PathId;
}

/**
 * The pulse of a clear or preset that ends itself: what it sets is what it was made of. It lasts until the quickest of the
 * ways back has ended it, so that the slower bits may miss it. `round` is a chain of delays that goes through it; undefined
 * where none of its clears is ended so.
 */
export function selfEndingPulse(model: Model, round: PathId): Check | undefined {
  const { time } = model;
  let path = time.root(time.rootOf(round));
  let edge: Edge | undefined;
  for (const step of time.chain(round)) {
    path = time.extend(path, step);
    if (step.change === "rise" || step.change === "fall") edge = step.change;
    if (step.kind !== "wire" || !edge) continue;
    for (const chip of model.chips) {
      const pin = chip.pins.find(({ name }) => step.to === `${chip.chip.ref} ${name}`);
      const end = pin && wayBack(model, chip, pin, edge, path);
      if (end === undefined || !pin) continue;
      const [earlier, later] = [path, end].map((at): Moment => ({ path: at, tick: 0 }));
      if (earlier && later) return pulseCheck(model, chip, pin, edge, earlier, later);
    }
  }
  return undefined;
}

function pulseCheck(
  { time, missing }: Model,
  { chip }: ChipModel,
  pin: PinModel,
  edge: Edge,
  earlier: Moment,
  later: Moment,
): Check {
  const level = edge === "rise" ? "high" : "low";
  const figure = chip.part.figures.width(pin.name, level);
  if (isMissing(figure)) missing.add(`${chip.ref}: ${figure.missing}`);
  return {
    rule: "pulse width",
    symbol: `tw ${level}`,
    chip: chip.ref,
    pin: pin.name,
    net: pin.net.net.name,
    reference: pin.name,
    required: isMissing(figure) ? 0 : figure.time,
    available: Math.max(0, time.leastGap(earlier, later)),
    typical: time.typicalGap(earlier, later),
    earlier,
    later,
    ...(isMissing(figure) ? {} : { source: figure.source }),
    note: `${pin.net.net.name} ends itself, as soon as the first bit that it sets or clears has changed; slower ones may miss it`,
  };
}

/** The quickest way on which an edge at a clear or preset, through what it sets and gates, comes back as the other edge. */
function wayBack(model: Model, chip: ChipModel, pin: PinModel, edge: Edge, from: PathId): PathId | undefined {
  const { time } = model;
  const open = setBy(model, chip, pin, edge, from);
  const done = new Set<string>();
  for (;;) {
    const next = open.reduce<Reached | undefined>((first, one) => {
      const isSooner =
        !first || time.earliest({ path: one.path, tick: 0 }) < time.earliest({ path: first.path, tick: 0 });
      return isSooner ? one : first;
    }, undefined);
    if (!next) return undefined;
    open.splice(open.indexOf(next), 1);
    if (next.net === pin.net && next.edge !== edge) return throughWire(model, next, chip, pin);
    const key = `${next.net.net.id} ${next.edge}`;
    if (done.has(key)) continue;
    done.add(key);
    for (const { chip: gate, pin: input } of next.net.receivers) {
      if (gate.storage.length > 0 || gate.memory) continue;
      const path = throughWire(model, next, gate, input);
      for (const output of gate.outputs) open.push(...throughGate(model, gate, input, next.edge, output, path));
    }
  }
}

/** What a clear or preset does to the outputs of its chip. */
function setBy(model: Model, chip: ChipModel, pin: PinModel, edge: Edge, path: PathId): Reached[] {
  const level = edge === "rise" ? HIGH : LOW;
  const at = (own: LevelSet) => (slot: number) => (slot === pin.slot ? own : chip.fixed[slot] || EITHER);
  return chip.storage.flatMap((bit) => {
    const set = bit.overrides.find(
      ({ when }) =>
        when.slots.includes(pin.slot) && when.possible(at(level)) & HIGH && when.possible(at(level ^ EITHER)) === LOW,
    );
    const value = set?.value.possible(at(level)) ?? EITHER;
    if (value === EITHER) return [];
    return chip.outputs.flatMap((output) => {
      if (output.value === "memory" || !alwaysDrives(chip, output)) return [];
      const shown = (own: LevelSet, logic = output.value) =>
        logic === "memory" ? EITHER : logic.possible((slot) => (slot === bit.slot ? own : at(level)(slot)));
      return changesTo(model, { pin, edge, output, path }, shown(value ^ EITHER), shown(value));
    });
  });
}

function throughGate(
  model: Model,
  gate: ChipModel,
  pin: PinModel,
  edge: Edge,
  output: OutputModel,
  path: PathId,
): readonly Reached[] {
  const { value } = output;
  if (value === "memory" || !output.slots.has(pin.slot) || !alwaysDrives(gate, output)) return [];
  const shown = (own: LevelSet) => value.possible((slot) => (slot === pin.slot ? own : gate.fixed[slot] || EITHER));
  const [before, after] = edge === "rise" ? [shown(LOW), shown(HIGH)] : [shown(HIGH), shown(LOW)];
  return changesTo(model, { pin, edge, output, path }, before, after);
}

/** The edges that an output can make as it goes from one of these levels to another. */
function changesTo(
  { time, delays }: Model,
  { pin, edge, output, path }: { pin: PinModel; edge: Edge; output: OutputModel; path: PathId },
  before: LevelSet,
  after: LevelSet,
): readonly Reached[] {
  const changes: Edge[] = [];
  if (before & LOW && after & HIGH) changes.push("rise");
  if (before & HIGH && after & LOW) changes.push("fall");
  return changes.flatMap((change) =>
    delays.arcs(pin, [edge], output, [change]).map((arc) => ({
      net: output.net,
      edge: change,
      path: time.extend(path, arc),
    })),
  );
}

function throughWire({ time, delays }: Model, { net, path }: Reached, chip: ChipModel, pin: PinModel): PathId {
  const last = time.last(path);
  const driver = (last && delays.driverOf(last)) ?? net.wave;
  return time.extend(path, delays.wire(driver, chip, pin));
}
