import { BitGraph, FALSE, TRUE } from "./bit-graph.js";
import { ONE, ZERO, sure } from "./level.js";
import { settledRest } from "./settled.js";
import { PLANES, Plane, inputOf } from "./signal-store.js";
import type { StepPlan, StepResult } from "./step-plan.js";
import { workOut } from "./work-out.js";
import type { Rest } from "./step-view.js";
import type { Signal, Structure } from "./structure.js";
import { Supports } from "./support.js";

/** Both edges of the only oscillator of a circuit. */
export interface Ticking {
  readonly structure: Structure;
  readonly oscillator: number;
  readonly rise: StepPlan;
  readonly fall: StepPlan;
}

/** Levels of inputs from outside that are taken as fixed, by source. */
export type Fixed = ReadonlyMap<number, 0 | 1>;

/** One oscillator period from rest to rest, beginning with its rise. */
export interface Period {
  readonly graph: BitGraph;
  readonly rest: Rest;
  readonly rise: StepResult;
  readonly fall: StepResult;
}

/** Works one period out from storage and inputs alone. Undefined where nets hold something in a loop. */
export function workOutPeriod({ structure, oscillator, rise, fall }: Ticking, fixed: Fixed): Period | undefined {
  const graph = new BitGraph();
  const levelOf = (signal: Signal) => {
    const source = structure.sources.findIndex((one) => one.signal === signal);
    if (source === oscillator) return ZERO;
    const level = fixed.get(source);
    return level === undefined ? sure(graph.input(inputOf(signal, Plane.value))) : level === 1 ? ONE : ZERO;
  };
  const rest = settledRest(graph, structure, levelOf);
  if (!rest) return undefined;
  const risen = workOut(rise, graph, rest, [{ source: oscillator, level: ONE, driven: TRUE }]);
  const fallen = workOut(fall, graph, risen.rest, [{ source: oscillator, level: ZERO, driven: TRUE }]);
  return { graph, rest, rise: risen, fall: fallen };
}

/**
 * The storage bits that run on their own: what they take hangs on the oscillator, on each other and on fixed inputs, and on
 * nothing else. `isTouched` tells bits that other inputs act on. Smallest closed sets first: each list is closed together with
 * those before it.
 */
export function autonomousBits(
  { structure }: Ticking,
  period: Period,
  isTouched: (bit: Signal) => boolean,
): readonly (readonly Signal[])[] {
  const supports = new Supports(period.graph);
  const isBit = new Set(structure.bits.map(({ signal }) => signal));
  const hangsOn = new Map<Signal, ReadonlySet<Signal> | undefined>();
  for (const { signal } of structure.bits) {
    const after = [period.rise, period.fall].map(({ rest }) => rest.levels[signal]?.value ?? FALSE);
    const { inputs, reads } = supports.of(after);
    const signals = new Set([...inputs].map((input) => Math.floor(input / PLANES)));
    hangsOn.set(
      signal,
      isTouched(signal) || reads || [...signals].some((one) => !isBit.has(one)) ? undefined : signals,
    );
  }
  const own = new Set(isBit);
  for (let shrank = true; shrank;) {
    shrank = false;
    for (const bit of own) {
      const needed = hangsOn.get(bit);
      if (needed && [...needed].every((one) => own.has(one))) continue;
      own.delete(bit);
      shrank = true;
    }
  }
  const closures = [...own].map((bit) => closureOf(bit, hangsOn));
  closures.sort((a, b) => a.size - b.size);
  const taken = new Set<Signal>();
  const lists: Signal[][] = [];
  for (const closure of closures) {
    const added = [...closure].filter((bit) => !taken.has(bit));
    if (added.length === 0) continue;
    for (const bit of added) taken.add(bit);
    lists.push(added);
  }
  return lists;
}

function closureOf(bit: Signal, hangsOn: ReadonlyMap<Signal, ReadonlySet<Signal> | undefined>): Set<Signal> {
  const closure = new Set([bit]);
  for (const one of closure) for (const needed of hangsOn.get(one) ?? []) closure.add(needed);
  return closure;
}
