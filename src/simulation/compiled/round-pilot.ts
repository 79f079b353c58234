import { HIGH } from "../value.js";
import type { Clock } from "./clock.js";
import type { PlannedInputs } from "./planned-inputs.js";
import type { Recording } from "./recording.js";
import type { RoundRunner } from "./round-runner.js";
import { Plane } from "./signal-store.js";
import type { Store } from "./store.js";
import type { Signal } from "./structure.js";

/** What a pilot steers by. */
export interface PilotView {
  readonly store: Store;
  readonly clock: Clock;
  readonly planned: PlannedInputs;
  readonly runner: RoundRunner;
  readonly recording: () => Recording | undefined;
  /** Nets at whose every change something acts. */
  readonly observed: () => Iterable<Signal>;
  /** Takes a single step, in which the inputs change that are planned next. */
  readonly step: (time: number) => void;
}

/**
 * Takes rounds as far as they go, and the inputs that change on the way. An input that changes in the midst of a round is
 * taken as the round begins or ends where all is the same as at its own time; else the round is left to be taken edge by edge.
 */
export class RoundPilot {
  private readonly view: PilotView;

  constructor(view: PilotView) {
    this.view = view;
  }

  /** At the begin of a round: takes what can be taken up to this time. False where nothing can. */
  advance(until: number): boolean {
    const { clock, planned, runner } = this.view;
    const { edges } = runner;
    if (edges === undefined) return false;
    const next = planned.nextTime;
    let quiet = Infinity;
    for (const net of this.view.observed()) quiet = Math.min(quiet, runner.roundsUntilChange(net, clock.edges));
    if (quiet === 0) return false;
    const count = Math.floor((clock.edgesUpTo(Math.min(until, next - 1)) - clock.edges) / edges);
    if (count > 0) return this.run(Math.min(count, quiet));
    return next <= until && this.takeInputs(until, edges);
  }

  private run(count: number): boolean {
    const { clock, runner, recording } = this.view;
    const done = runner.run(clock.edges, count, recording());
    clock.edges += done * (runner.edges ?? 0);
    return done > 0;
  }

  /** Takes the inputs that change next, in the coming round. */
  private takeInputs(until: number, edges: number): boolean {
    const { clock, planned, step } = this.view;
    const first = this.placeOf(planned.next);
    if (first === "begin") return this.takeBetween(false);
    const end = clock.timeOf(clock.edges + edges - 1);
    if (first === "exact" || end > until || !this.areAllAtTheEnd(end)) return this.takeBetween(true);
    if (!this.run(1)) return false;
    while (planned.nextTime <= end) if (!this.takeBetween(false)) step(planned.nextTime);
    return true;
  }

  private areAllAtTheEnd(end: number): boolean {
    const { planned } = this.view;
    for (let place = planned.next; (planned.time[place] ?? Infinity) <= end; place = planned.endOf(place)) {
      if (this.placeOf(place) !== "end") return false;
    }
    return true;
  }

  /** Where in the coming round the inputs may be taken that change together from this place of the list on. */
  private placeOf(place: number) {
    const { clock, planned, runner } = this.view;
    const time = planned.time[place] ?? Infinity;
    const before = clock.edgesUpTo(time - 1);
    if (clock.timeOf(before) === time || !this.isOrdinary(place)) return "exact";
    return runner.placeOfInputs(before - clock.edges);
  }

  /** Whether all that change together are known, and none is one for which the rounds were made. */
  private isOrdinary(place: number): boolean {
    const { planned, runner } = this.view;
    const end = planned.endOf(place);
    for (let at = place; at < end; at++) {
      if ((planned.value[at] as number) > HIGH || runner.isFixed(planned.source[at] as number)) return false;
    }
    return true;
  }

  /** Takes the next inputs between rounds, unless that leaves anything in doubt, or has an effect where it may have none. */
  private takeBetween(onlyWithoutEffect: boolean): boolean {
    const { store, clock, planned, runner } = this.view;
    const from = planned.next;
    const end = planned.endOf(from);
    if (onlyWithoutEffect) {
      const time = planned.nextTime;
      if (!this.isOrdinary(from) || clock.timeOf(clock.edgesUpTo(time - 1)) === time) return false;
      for (let at = from; at < end; at++) if (!runner.isPassing(planned.source[at] as number)) return false;
    }
    runner.enterAt(clock.edges);
    const { sources } = store.structure;
    for (let at = from; at < end; at++) {
      store.set(sources[planned.source[at] as number]?.signal ?? 0, Plane.nextValue, planned.value[at] as number);
    }
    const effect = runner.effectOfInputs();
    const isTaken = onlyWithoutEffect ? effect === 0 : effect < 2;
    if (effect === 1 && isTaken) runner.takeInputs();
    const [to, as] = isTaken ? [Plane.value, Plane.nextValue] : [Plane.nextValue, Plane.value];
    for (let at = from; at < end; at++) {
      const signal = sources[planned.source[at] as number]?.signal ?? 0;
      store.set(signal, to, store.at(signal, as));
    }
    if (isTaken) planned.dropUpTo(end);
    return isTaken;
  }
}
