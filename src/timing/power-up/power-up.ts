import type { Chip, Circuit } from "../../circuit/index.js";
import type { Oscillation } from "../../parts/index.js";
import { ClockRates } from "./clock-rate.js";
import { Courses, leastCommonMultiple } from "./course.js";
import { flushTicks } from "./flush.js";
import { type FreeGroup, type FreeStart, freeGroups, freeStart } from "./free-group.js";
import { type OutOfStep, outOfStep, pictureNets } from "./in-step.js";
import type { StateBit } from "./lane-unit.js";
import { type LogicView, logicView } from "./logic-view.js";
import { NotFollowed } from "./not-followed.js";
import { type Part, partsOf, withAncestors } from "./parts.js";
import { type Pipeline, isPipeline, pipeline } from "./pipeline.js";
import { type ResetStart, resetStart, writesAfterReset } from "./reset-start.js";
import { type SelfStart, selfStart } from "./self-start.js";
import { controlPart, freePart } from "./taint.js";

/** What keeps some start state from the proved cycle, or from being followed. */
export type Obstacle =
  /** There are other cycles than the proved one. */
  | {
      readonly kind: "other cycles";
      readonly part: Part;
      readonly bits: readonly StateBit[];
      readonly start: SelfStart;
    }
  /** Bits that nothing ever clocks, opens or forces: they stay as they are at power-up. */
  | { readonly kind: "never set"; readonly part: Part; readonly bits: readonly StateBit[] }
  | ({ readonly kind: "out of step" } & OutOfStep)
  /** What follows signals from outside may stay where the proof has not been. */
  | {
      readonly kind: "may stay away";
      readonly group: FreeGroup;
      readonly bits: readonly StateBit[];
      readonly state: number;
    }
  | { readonly kind: "not followed"; readonly sections: Part["sections"]; readonly why: string };

/** An obstacle, and what a reset makes of it. */
export interface Judged {
  readonly obstacle: Obstacle;
  /** Absent without a reset; a text where it could not be followed. */
  readonly reset?: ResetStart | string;
}

/** Whether the circuit comes into the proved cycle from every state that its storage may have at power-up. */
export interface PowerUp {
  /** Storage bits all of whose states were followed, and those of parts that were not. */
  readonly bits: number;
  readonly bitsNotFollowed: number;
  readonly obstacles: readonly Judged[];
  /** At most so many oscillator periods until every state is a proved one, from the release of the reset where one is needed. */
  readonly ticks: number;
  /** Oscillator periods that a reset must be held for, where one is needed. */
  readonly heldTicks: number;
  /** After so many periods what runs from the oscillator alone repeats. */
  readonly cycleTicks: number;
  /** Memories that may be written on the way although nothing comes from outside, and for how many periods at most. */
  readonly writes: readonly { readonly ref: string; readonly ticks: number | undefined }[];
  /** How often nets that follow from the oscillator have their edges. */
  readonly clockRates: ClockRates;
}

/**
 * Follows a circuit from every state of its storage, logic alone: at a clock so slow that all comes to rest after each edge,
 * with changes in the order that delays within their limits give.
 */
export function powerUp(circuit: Circuit, oscillator: Chip): PowerUp {
  return new PowerUpRun(circuit, oscillator).run();
}

/** Whether what was in the way is out of it: by a reset that brings every state into a proved one. */
export function isMended({ reset }: Judged): boolean {
  return typeof reset === "object" && reset.ticks !== undefined;
}

class PowerUpRun {
  readonly #circuit: Circuit;
  readonly #oscillator: Chip;
  readonly #oscillation: Oscillation;
  readonly #view: LogicView;
  readonly #courses: Courses;
  readonly #parts: readonly Part[];
  #given: LogicView | undefined;
  readonly #resets = new Map<string, ResetStart | string>();
  readonly #obstacles: Judged[] = [];
  /** Ticks after which a part stands where the proof does, all that it rests on included. */
  readonly #readyTicks = new Map<Part, number>();
  #bits = 0;
  #bitsNotFollowed = 0;

  constructor(circuit: Circuit, oscillator: Chip) {
    const { oscillation } = oscillator.part;
    if (!oscillation) throw new RangeError(`${oscillator.ref} is no oscillator`);
    this.#circuit = circuit;
    this.#oscillator = oscillator;
    this.#oscillation = oscillation;
    this.#view = logicView(circuit, oscillator, "released");
    this.#courses = new Courses(this.#view);
    const free = freePart(this.#view);
    this.#parts = partsOf(
      this.#view,
      this.#view.sections.filter((section) => !free.sections.has(section)),
    );
  }

  run(): PowerUp {
    const starts: SelfStart[] = [];
    const ownTicks = new Map<Part, number>();
    for (const part of this.#parts) {
      const found = this.#alone(part);
      if (!found) continue;
      if ("graph" in found) starts.push(found);
      ownTicks.set(part, found.ticks ?? 0);
    }
    for (const pair of outOfStep(this.#circuit, this.#view, starts)) {
      this.#meet({ kind: "out of step", ...pair }, pair.parts);
    }
    for (const part of this.#parts) {
      const parents = part.parents.map(({ part: parent }) => this.#readyTicks.get(parent) ?? 0);
      const own = Math.max(0, ...parents) + (ownTicks.get(part) ?? 0);
      this.#readyTicks.set(part, Math.max(own, this.#readyTicks.get(part) ?? 0));
    }
    const groups = this.#groups();
    const resets = this.#obstacles.flatMap(({ reset }) => (typeof reset === "object" ? [reset] : []));
    return {
      bits: this.#bits,
      bitsNotFollowed: this.#bitsNotFollowed,
      obstacles: this.#obstacles,
      ticks: Math.max(0, ...this.#readyTicks.values(), ...groups.map(({ readyTicks }) => readyTicks)),
      heldTicks: Math.max(0, ...resets.map(({ heldTicks }) => heldTicks)),
      cycleTicks: starts.reduce(
        (ticks, { inputTicks, graph, provedCycle }) =>
          leastCommonMultiple(ticks, inputTicks * (graph.cycles[provedCycle]?.length ?? 1)),
        1,
      ),
      writes: groups.flatMap(({ writes }) => writes),
      clockRates: new ClockRates(this.#view, this.#courses, this.#parts, this.#oscillation),
    };
  }

  /** What every state of a part by itself comes to; undefined where it holds nothing or could not be followed. */
  #alone(part: Part): SelfStart | Pipeline | undefined {
    try {
      const { bits } = this.#courses.unit(part);
      if (bits.length === 0) return undefined;
      const found = isPipeline(part) ? pipeline(this.#courses, part) : selfStart(this.#courses, part);
      this.#bits += bits.length;
      if ("graph" in found) {
        if (found.graph.cycles.length > 1) this.#meet({ kind: "other cycles", part, bits, start: found }, [part]);
      } else if (found.ticks === undefined) {
        this.#meet({ kind: "never set", part, bits: bits.filter(({ name }) => found.idle.includes(name)) }, [part]);
      }
      return found;
    } catch (error) {
      this.#cannot(error, part.sections, [part]);
      return undefined;
    }
  }

  #groups() {
    const free = freePart(this.#view);
    const syncs = pictureNets(this.#circuit).slice(0, 2);
    const control = controlPart(this.#view, syncs);
    const groups = freeGroups(this.#circuit, this.#view, free, control, this.#parts, this.#oscillation.period);
    return groups.flatMap((group) => {
      const parents = withAncestors(group.reading.parents.map(({ part }) => part));
      const ready = Math.max(0, ...parents.map((part) => this.#readyTicks.get(part) ?? 0));
      try {
        const found = freeStart(this.#courses, this.#view, group);
        this.#bits += found.bits.length;
        const mended = found.away === undefined ? undefined : this.#meetAway(group, found, parents);
        const readyTicks = Math.max(ready + (found.ticks ?? 0), mended ?? 0);
        const until = found.writes?.untilTick;
        const writes =
          found.writes && !this.#isSilencedByReset(found, parents)
            ? group.memories.map(({ chip }) => ({
                ref: chip.ref,
                ticks: until === undefined ? undefined : ready + until,
              }))
            : [];
        return [{ readyTicks, writes }];
      } catch (error) {
        const ticks = this.#flush(group, error);
        if (ticks !== undefined) return [{ readyTicks: ready + ticks, writes: [] }];
        this.#cannot(
          error,
          group.sections.filter(({ storage }) => storage.length > 0),
        );
        return [];
      }
    });
  }

  /** Whether the reset that the board needs leaves nothing that writes a memory unasked. */
  #isSilencedByReset(start: FreeStart, parts: readonly Part[]): boolean {
    if (!this.#obstacles.some(isMended)) return false;
    try {
      return !writesAfterReset({ circuit: this.#givenView(), parts }, start);
    } catch (error) {
      if (error instanceof NotFollowed) return false;
      throw error;
    }
  }

  /** Where a group has too many states: how soon nothing is left of any; undefined where something may be. */
  #flush(group: FreeGroup, error: unknown): number | undefined {
    if (!(error instanceof NotFollowed)) throw error;
    try {
      const ticks = flushTicks(this.#courses, group);
      this.#bits += group.sections.reduce((sum, { storage }) => sum + storage.length, 0);
      return ticks;
    } catch (other) {
      if (other instanceof NotFollowed) return undefined;
      throw other;
    }
  }

  #meetAway(group: FreeGroup, found: FreeStart, parents: readonly Part[]): number | undefined {
    const obstacle: Obstacle = { kind: "may stay away", group, bits: found.bits, state: found.away ?? 0 };
    const judged: Judged = { obstacle, ...this.#afterReset(parents, found) };
    this.#obstacles.push(judged);
    return typeof judged.reset === "object" ? judged.reset.ticks : undefined;
  }

  #meet(obstacle: Obstacle, parts: readonly Part[]): void {
    const judged: Judged = { obstacle, ...this.#afterReset(withAncestors(parts)) };
    this.#obstacles.push(judged);
    if (typeof judged.reset !== "object") return;
    for (const part of parts) {
      this.#readyTicks.set(part, Math.max(this.#readyTicks.get(part) ?? 0, judged.reset.ticks ?? 0));
    }
  }

  /** What cannot be followed from everywhere may still be followed from a reset. */
  #cannot(error: unknown, sections: Part["sections"], parts: readonly Part[] = []): void {
    if (!(error instanceof NotFollowed)) throw error;
    this.#bitsNotFollowed += sections.reduce((sum, { storage }) => sum + storage.length, 0);
    const obstacle: Obstacle = { kind: "not followed", sections, why: error.message };
    if (parts.length > 0) this.#meet(obstacle, parts);
    else this.#obstacles.push({ obstacle });
  }

  #afterReset(parts: readonly Part[], group?: FreeStart): Pick<Judged, "reset"> {
    if (this.#view.resets.length === 0) return {};
    const key = `${parts.map(({ index }) => index).join()} ${group ? group.group.sections.map((s) => s.key).join() : ""}`;
    let reset = this.#resets.get(key);
    if (reset === undefined) {
      reset = this.#tryReset(parts, group);
      this.#resets.set(key, reset);
    }
    return { reset };
  }

  #givenView(): LogicView {
    this.#given ??= logicView(this.#circuit, this.#oscillator, "given");
    return this.#given;
  }

  #tryReset(parts: readonly Part[], group: FreeStart | undefined): ResetStart | string {
    try {
      return resetStart({ circuit: this.#givenView(), parts, courses: this.#courses, ...(group && { group }) });
    } catch (error) {
      if (error instanceof NotFollowed) return error.message;
      throw error;
    }
  }
}
