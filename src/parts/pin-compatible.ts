import type { Behaviour, Output, Storage } from "./behaviour.js";
import type { Package } from "./part.js";
import { ALWAYS, type Truth, TruthDiagrams } from "./truth-diagrams.js";

/** A function in its package. */
export interface Placed {
  readonly behaviour: Behaviour;
  readonly package: Package;
}

/**
 * How `other` differs from `own` where it can take its place on the board: the same package, a pin of the same kind at each
 * place, and logic that differs in nothing but what the answer says. Undefined where it cannot; empty where they do the
 * same.
 */
export function pinCompatible(own: Placed, other: Placed): readonly string[] | undefined {
  if (!hasSamePins(own, other) || own.behaviour.memory || own.behaviour.clockSource) return undefined;
  const comparison = new Comparison(own, other);
  const storage = comparison.bits(own.behaviour.storage, other.behaviour.storage);
  const outputs = storage && comparison.outputs(own.behaviour.outputs, other.behaviour.outputs);
  return outputs && [...new Set([...storage, ...outputs])];
}

/** Pins of the same role at every place of packages of the same outline. */
export function hasSamePins(own: Placed, other: Placed): boolean {
  const roles = ({ behaviour, package: shape }: Placed) => {
    const byName = new Map(behaviour.pins.map(({ name, role }) => [name, role]));
    return shape.pins.map(({ number, name }) => `${number} ${byName.get(name)}`).sort();
  };
  const [mine, theirs] = [roles(own), roles(other)];
  return mine.length === theirs.length && mine.every((pin, i) => pin === theirs[i]);
}

type Differences = readonly string[] | undefined;

/** Compares two functions with every pin called by its place on the package and every bit by its order. */
class Comparison {
  readonly #diagrams = new TruthDiagrams();
  readonly #places: readonly ReadonlyMap<string, string>[];
  readonly #names: readonly ReadonlyMap<string, string>[];

  constructor(own: Placed, other: Placed) {
    this.#places = [own, other].map(
      ({ behaviour, package: shape }) =>
        new Map([
          ...shape.pins.map(({ number, name }) => [name, `pin ${number}`] as const),
          ...behaviour.storage.map(({ name }, i) => [name, `bit ${i}`] as const),
        ]),
    );
    this.#names = this.#places.map((places) => new Map([...places].map(([name, place]) => [place, name])));
  }

  /** The function of an expression of the first (0) or the second (1). */
  #of(side: 0 | 1, expression: Parameters<TruthDiagrams["of"]>[0]): Truth {
    return this.#diagrams.of(expression, (name) => this.#diagrams.variable(this.#places[side]?.get(name) ?? name));
  }

  outputs(own: readonly Output[], other: readonly Output[]): Differences {
    const theirs = new Map(other.map((output) => [this.#places[1]?.get(output.pin), output]));
    const found: string[] = [];
    for (const output of own) {
      const match = theirs.get(this.#places[0]?.get(output.pin));
      const differences = match && this.#output(output, match);
      if (!differences) return undefined;
      found.push(...differences);
    }
    return own.length === other.length ? found : undefined;
  }

  #output(own: Output, other: Output): Differences {
    const [a, b] = [this.#of(0, own.value), this.#of(1, other.value)];
    const enables = ([own.enable, other.enable] as const).map((enable, side) =>
      enable ? this.#of(side === 0 ? 0 : 1, enable) : ALWAYS,
    );
    const [mine = ALWAYS, theirs = ALWAYS] = enables;
    if (mine !== theirs) {
      if (theirs === ALWAYS && b === this.#diagrams.and(mine, a)) return ["low instead of undriven when not enabled"];
      if (mine === ALWAYS && a === this.#diagrams.and(theirs, b)) return ["undriven instead of low when not enabled"];
      const turned = this.#invertedPins(mine, theirs);
      if (!turned) return undefined;
      return a === b ? turned : undefined;
    }
    if (a === b) return [];
    return a === this.#diagrams.not(b) ? ["outputs inverted"] : undefined;
  }

  /** One pin that acts at the other level in the second function and makes all the difference. */
  #invertedPins(own: Truth, other: Truth): Differences {
    for (const place of this.#diagrams.namesIn(own)) {
      const level = (value: 0 | 1) => this.#diagrams.given(own, new Map([[place, value]]));
      const turned = this.#diagrams.choose(this.#diagrams.variable(place), level(0), level(1));
      if (turned === other) {
        const name = this.#names[1]?.get(place) ?? place;
        return [`enabled by ${name.endsWith("#") ? "a low" : "a high"} ${name}`];
      }
    }
    return undefined;
  }

  bits(own: readonly Storage[], other: readonly Storage[]): Differences {
    if (own.length !== other.length) return undefined;
    const found: string[] = [];
    for (const [i, bit] of own.entries()) {
      const match = other[i];
      const differences = match && this.#bit(bit, match);
      if (!differences) return undefined;
      found.push(...differences);
    }
    return found;
  }

  #bit(own: Storage, other: Storage): Differences {
    const sides = [own, other] as const;
    const [clock, otherClock] = sides.map((bit, side) =>
      this.#of(side === 0 ? 0 : 1, bit.kind === "register" ? bit.clock : bit.open),
    );
    const found: string[] = [];
    if (clock !== otherClock) {
      if (clock === undefined || otherClock === undefined || clock !== this.#diagrams.not(otherClock)) return undefined;
      found.push("the other edge or level of the clock");
    }
    if (own.kind !== other.kind) {
      found.push(
        other.kind === "latch"
          ? "transparent while its enable is active, instead of clocked by an edge"
          : "clocked by an edge, instead of transparent while its enable is active",
      );
    }
    const [mine = 0, theirs = 0] = sides.map((bit, side) => this.#overridden(side === 0 ? 0 : 1, bit));
    if (mine !== theirs) return undefined;
    const [atOnce = new Set<string>(), otherAtOnce = new Set<string>()] = sides.map((bit, side) =>
      this.#overridingPlaces(side === 0 ? 0 : 1, bit),
    );
    for (const place of atOnce) {
      if (!otherAtOnce.has(place)) found.push(`${this.#names[1]?.get(place)} waits for the clock (synchronous)`);
    }
    for (const place of otherAtOnce) {
      if (!atOnce.has(place)) found.push(`${this.#names[1]?.get(place)} acts at once (asynchronous)`);
    }
    return found;
  }

  /** What a bit takes when its clock comes, its overrides counted as data. */
  #overridden(side: 0 | 1, bit: Storage): Truth {
    return [...bit.overrides]
      .reverse()
      .reduce(
        (rest, { when, value }) => this.#diagrams.choose(this.#of(side, when), this.#of(side, value), rest),
        this.#of(side, bit.next),
      );
  }

  #overridingPlaces(side: 0 | 1, { overrides }: Storage): ReadonlySet<string> {
    return new Set(overrides.flatMap(({ when }) => [...this.#diagrams.namesIn(this.#of(side, when))]));
  }
}
