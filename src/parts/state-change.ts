import type { Behaviour, Storage } from "./behaviour.js";
import type { Expression } from "./expression.js";
import type { Edge } from "./figures.js";
import { requirementsOf } from "./requirements.js";
import { ALWAYS, NEVER, type Truth, type TruthDiagrams } from "./truth-diagrams.js";

/** A function before a clock edge and after it; the same where no clock moves. */
export interface Change {
  readonly before: Truth;
  readonly after: Truth;
}

/** The variable that is true while this clock pin makes its active edge. */
export function movesName(pin: string): string {
  return `${pin} moves`;
}

/**
 * Storage bits and outputs of a behaviour as functions of its pins and of what the bits held before. At most one clock pin
 * makes its active edge; every other pin is steady. A pin's own variable is its level after the edge, so where a pin moves
 * its variable has to be given the level that it moves to.
 */
export class StateChange {
  /** Clock pins with their active edge. */
  readonly clocks: ReadonlyMap<string, Edge>;
  readonly #diagrams: TruthDiagrams;
  readonly #bits: ReadonlyMap<string, Storage>;
  readonly #before = new Map<string, Truth>();
  readonly #after = new Map<string, Truth>();

  /** Bits in `outside` are taken as they are: each is one variable, before and after. */
  constructor(behaviour: Behaviour, diagrams: TruthDiagrams, outside: ReadonlySet<string> = new Set()) {
    this.#diagrams = diagrams;
    this.clocks = new Map(requirementsOf(behaviour).clocks.map(({ pin, edge }) => [pin, edge]));
    this.#bits = new Map(behaviour.storage.filter(({ name }) => !outside.has(name)).map((bit) => [bit.name, bit]));
  }

  of(expression: Expression): Change {
    return { before: this.#beforeOf(expression), after: this.#afterOf(expression) };
  }

  #beforeOf(expression: Expression): Truth {
    return this.#diagrams.of(expression, (name) => (this.#bits.has(name) ? this.#bitBefore(name) : this.#pin(name)));
  }

  #afterOf(expression: Expression): Truth {
    return this.#diagrams.of(expression, (name) =>
      this.#bits.has(name) ? this.#bitAfter(name) : this.#diagrams.variable(name),
    );
  }

  /** The level of a pin before the edge. */
  #pin(name: string): Truth {
    const edge = this.clocks.get(name);
    const level = this.#diagrams.variable(name);
    if (edge === undefined) return level;
    return this.#diagrams.choose(this.#diagrams.variable(movesName(name)), edge === "rise" ? NEVER : ALWAYS, level);
  }

  /** What a bit held before: its own variable, unless an override or an open latch decided it. */
  #bitBefore(name: string): Truth {
    return this.#remember(this.#before, name, (bit, held) => {
      const own = bit.kind === "latch" ? this.#pick(bit.open, bit.next, held, (e) => this.#beforeOf(e)) : held;
      return this.#overridden(bit, own, (e) => this.#beforeOf(e));
    });
  }

  #bitAfter(name: string): Truth {
    return this.#remember(this.#after, name, (bit) => {
      const held = this.#bitBefore(name);
      if (bit.kind === "latch") {
        const own = this.#pick(bit.open, bit.next, held, (e) => this.#afterOf(e));
        return this.#overridden(bit, own, (e) => this.#afterOf(e));
      }
      const clock = this.of(bit.clock);
      const clocked = this.#diagrams.and(this.#diagrams.not(clock.before), clock.after);
      const own = this.#diagrams.choose(clocked, this.#beforeOf(bit.next), held);
      return this.#overridden(bit, own, (e) => this.#afterOf(e));
    });
  }

  #pick(when: Expression, then: Expression, otherwise: Truth, read: (e: Expression) => Truth): Truth {
    return this.#diagrams.choose(read(when), read(then), otherwise);
  }

  #overridden(bit: Storage, own: Truth, read: (e: Expression) => Truth): Truth {
    return [...bit.overrides].reverse().reduce((rest, { when, value }) => this.#pick(when, value, rest, read), own);
  }

  #remember(memory: Map<string, Truth>, name: string, make: (bit: Storage, held: Truth) => Truth): Truth {
    const known = memory.get(name);
    const bit = this.#bits.get(name);
    const held = this.#diagrams.variable(name);
    if (known !== undefined || !bit) return known ?? held;
    // A bit that acts on itself at once is met again on the way: there it is what it held.
    memory.set(name, held);
    const made = make(bit, held);
    memory.set(name, made);
    return made;
  }
}
