import type { Chip, Circuit } from "../../circuit/index.js";
import {
  type Change as DelayChange,
  type Edge,
  type Part,
  behaviours,
  families,
  findPart,
  functionsOf,
  isPartProblem,
} from "../../parts/index.js";
import { fs } from "../../quantity/index.js";
import { freeNames, withCapacitors } from "./added-chips.js";
import type { Edit } from "./edits.js";
import { type FlipFlopCell, type FlipFlops, flipFlopsOf, usedFlipFlops } from "./flip-flop-cells.js";
import { GateMaker } from "./gate-maker.js";
import { type StandInTimes, conditionsFor, knownDelay, requirementOf } from "./gain.js";
import { inverters, type Inverter } from "./inverters.js";
import { turnedNetName } from "./register-graph.js";
import { type StandIn, runsFrom, standInOf } from "./stand-in.js";

/** Functions that are nothing but D flip-flops. */
const FUNCTIONS = behaviours.flatMap((behaviour) => {
  const flipFlops = flipFlopsOf(behaviour);
  return flipFlops ? [{ behaviour, flipFlops }] : [];
});

/** A flip-flop in its new place: which chip of several, its pins there, and the old output that an inverter has to make. */
interface Moved {
  readonly old: FlipFlopCell;
  readonly chip: number;
  readonly cell: FlipFlopCell;
  readonly turned?: "output" | "inverted";
}

/** Chips of flip-flops with other pins in the place of one: two 74s for a 175, a 174 for a 273, a 174 and inverters for a 175. */
export function otherFlipFlops(circuit: Circuit, chip: Chip): readonly StandIn[] {
  const used = usedFlipFlops(chip);
  if (!used || used.length === 0 || chip.supply.name !== "main") return [];
  const turning = inverters(circuit, chip);
  return FUNCTIONS.flatMap(({ behaviour, flipFlops }) => {
    if (behaviour === chip.part.behaviour) return [];
    const moved = placed(chip, used, flipFlops);
    if (!moved) return [];
    const withThem = moved.some(({ turned }) => turned) ? turning : [undefined];
    return families
      .filter(
        (family) => functionsOf(family).includes(behaviour.function) && runsFrom(chip, family, behaviour.function),
      )
      .flatMap((family) => {
        const part = findPart(`74${family}${behaviour.function}`, conditionsFor(circuit, chip));
        if (isPartProblem(part) || (!part.package.isDual && chip.part.package.isDual)) return [];
        return withThem.map((inverter) => standIn(circuit, chip, part, flipFlops, moved, inverter));
      });
  });
}

/** Puts flip-flops into chips one after the other; undefined where these lack a clear or a preset that is used. */
function placed({ nets }: Chip, used: readonly FlipFlopCell[], { cells }: FlipFlops): readonly Moved[] | undefined {
  const netOf = (pin: string | undefined) => (pin === undefined ? undefined : nets.get(pin));
  const moved: Moved[] = [];
  for (const [index, old] of used.entries()) {
    const cell = cells[index % cells.length];
    if (!cell) return undefined;
    for (const pin of ["clear", "preset"] as const) {
      const net = netOf(old[pin]);
      if (net && net.rail !== "high" && cell[pin] === undefined) return undefined;
    }
    const turned = (["output", "inverted"] as const).find((pin) => netOf(old[pin]) && cell[pin] === undefined);
    moved.push({ old, chip: Math.floor(index / cells.length), cell, ...(turned && { turned }) });
  }
  // What the flip-flops of a package share they must have shared before.
  const isShared = moved.every((one) =>
    moved.every(
      (other) =>
        one.chip !== other.chip ||
        (["clock", "clear", "preset"] as const).every(
          (pin) => one.cell[pin] !== other.cell[pin] || netOf(one.old[pin])?.id === netOf(other.old[pin])?.id,
        ),
    ),
  );
  return isShared ? moved : undefined;
}

function standIn(
  circuit: Circuit,
  chip: Chip,
  part: Part,
  flipFlops: FlipFlops,
  moved: readonly Moved[],
  inverter: Inverter | undefined,
): StandIn {
  const count = 1 + Math.max(...moved.map((one) => one.chip));
  const taken = [...circuit.chips, ...circuit.passives].map(({ ref }) => ref);
  const refs = [chip.ref, ...freeNames(taken, "U", count - 1)];
  const maker = new GateMaker(circuit, refs);
  const own = inverter ? turnedOver(circuit, chip, moved, inverter, maker) : new Map<Moved, string>();
  const each = refs.map((ref, index) => ({
    ref,
    ...pinsFor(
      chip,
      part,
      flipFlops,
      moved.filter((one) => one.chip === index),
      own,
    ),
  }));
  const [first, ...others] = each;
  const note = (chip.note || chip.part.behaviour.title).replace(/[:#].*/, "").trim();
  const edits: Edit[] = others.map(({ ref, pins, was }) => ({
    ...{ kind: "chip", chip: ref, part: part.number, note: `${note}, more of it`, pins },
    beside: { chip: chip.ref, was },
  }));
  if (first) edits.push({ kind: "pins", chip: chip.ref, pins: first.pins, was: first.was });
  edits.push({ kind: "part", chip: chip.ref, part: part.number }, ...maker.edits);
  const pairs = each.flatMap(({ ref, was }) =>
    Object.entries(was).map(([now, old]) => [`${chip.ref} ${old}`, `${ref} ${now}`] as const),
  );
  const turning = inverter && `${inverter.part.number} (${maker.refs.join(", ")})`;
  const what = `${refs.join(", ")}: ${part.number}${count > 1 ? " each" : ""}${turning ? ` with ${turning}` : ""} in place of ${chip.ref}'s ${chip.part.number}`;
  return standInOf(
    chip.ref,
    inverter ? `${part.number} with ${inverter.part.number}` : part.number,
    {
      ...{ what, kind: "other pins", chips: count - 1 + maker.added, promise: 1 },
      edits: withCapacitors(circuit, edits),
      moved: Object.fromEntries(pairs),
      ...(turning && { inverters: turning }),
    },
    timesOf(circuit, part, moved, inverter),
  );
}

/** Adds inverters for the outputs that the new chips lack. Returns the net that each flip-flop then drives itself. */
function turnedOver(
  circuit: Circuit,
  chip: Chip,
  moved: readonly Moved[],
  inverter: Inverter,
  maker: GateMaker,
): ReadonlyMap<Moved, string> {
  const taken = circuit.nets.map(({ name }) => name);
  const found = new Map<Moved, string>();
  for (const one of moved) {
    const netAt = (pin: string | undefined) => (pin === undefined ? undefined : chip.nets.get(pin)?.name);
    const made = one.turned && netAt(one.old[one.turned]);
    if (one.turned === undefined || made === undefined) continue;
    const driven = netAt(one.old[one.turned === "output" ? "inverted" : "output"]) ?? turnedNetName(taken, made);
    taken.push(driven);
    found.set(one, driven);
    maker.invert(inverter.part.number, `turns outputs of ${chip.ref} over`, driven, made);
  }
  return found;
}

/**
 * The pins of one chip, those that are not used at rest, and which pin of the old chip each was. `driven` are nets before
 * inverters.
 */
function pinsFor(
  { nets }: Chip,
  { behaviour }: Part,
  { cells, enables }: FlipFlops,
  moved: readonly Moved[],
  driven: ReadonlyMap<Moved, string>,
) {
  const pins: Record<string, string> = {};
  const was: Record<string, string> = {};
  const put = (pin: string | undefined, old: string | undefined, rest: string) => {
    if (pin === undefined || pin in pins) return;
    pins[pin] = (old === undefined ? undefined : nets.get(old)?.name) ?? rest;
    if (old !== undefined) was[pin] = old;
  };
  for (const one of moved) {
    const { old, cell } = one;
    put(cell.clock, old.clock, "low");
    put(cell.clear, old.clear, "high");
    put(cell.preset, old.preset, "high");
    put(cell.data, old.data, "low");
    put(cell.output, old.output, driven.get(one) ?? "open");
    put(cell.inverted, old.inverted, driven.get(one) ?? "open");
  }
  const kept = new Set(cells.flatMap(({ clear, preset }) => [clear, preset]));
  for (const { name, role } of behaviour.pins) {
    if (role === "output") put(name, undefined, "open");
    else if (role === "input") put(name, undefined, kept.has(name) && !enables.includes(name) ? "high" : "low");
  }
  return { pins, was };
}

/** The times of the new chips by the pins of the old one. */
function timesOf(
  { wireDelay }: Circuit,
  part: Part,
  moved: readonly Moved[],
  inverter: Inverter | undefined,
): StandInTimes {
  const PINS = ["data", "clock", "clear", "preset", "output", "inverted"] as const;
  const cellWith = (pins: readonly string[]) => {
    const own = moved.find(({ old }) => pins.every((pin) => PINS.some((key) => old[key] === pin)));
    return (pin: string) => {
      const key = own && PINS.find((one) => own.old[one] === pin);
      return key && own.cell[key];
    };
  };
  const turnedAt = (from: string, edge: Edge, to: string, change: DelayChange) => {
    const own = moved.find(({ old, turned }) => turned !== undefined && old[turned] === to);
    if (!own || !inverter || (change !== "rise" && change !== "fall")) return undefined;
    const [key, driven] = [PINS.find((one) => own.old[one] === from), own.cell.output ?? own.cell.inverted];
    const [start, before] = [key && own.cell[key], change === "rise" ? "fall" : "rise"] as const;
    if (start === undefined || driven === undefined) return undefined;
    const first = knownDelay(part, start, edge, driven, before);
    const last = knownDelay(inverter.part, inverter.input, before, inverter.output, change);
    return first && last && { min: fs(first.min + last.min), max: fs(first.max + wireDelay.max + last.max) };
  };
  return {
    delay(from, edge, to, change) {
      const now = cellWith([from, to]);
      const [start, end] = [now(from), now(to)];
      if (start === undefined) return undefined;
      return end === undefined ? turnedAt(from, edge, to, change) : knownDelay(part, start, edge, end, change);
    },
    asked(verdict) {
      const now = cellWith([verdict.pin, verdict.reference].filter((pin) => pin !== ""));
      const [pin, reference] = [now(verdict.pin), now(verdict.reference)];
      return pin === undefined ? undefined : requirementOf(part, verdict, pin, reference ?? "");
    },
  };
}
