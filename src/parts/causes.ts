import type { Behaviour, Override, Storage } from "./behaviour.js";
import { type Known, type Levels, HIGH, LOW, possibleLevels, responseTo } from "./dependence.js";
import { type Expression, namesIn } from "./expression.js";
import type { Edge } from "./figures.js";

/** What in a storage bit a pin acts on. */
export type StorageInput = "clock" | "override" | "latch";

/** One way in which an edge at a pin can change a storage bit. */
export interface Cause {
  readonly pin: string;
  readonly edge: Edge;
  readonly through: StorageInput;
  /** What the bit can do. */
  readonly bit: Edge;
  /** Levels of other names without which it cannot: a 193 counts up only while DOWN is high. */
  readonly given: Known;
}

const perBehaviour = new WeakMap<Behaviour, ReadonlyMap<string, readonly Cause[]>>();

/** Every cause by which each storage bit, by name, can change: its own inputs', and other bits' that act on it at once. */
export function causesOf(behaviour: Behaviour): ReadonlyMap<string, readonly Cause[]> {
  const known = perBehaviour.get(behaviour);
  if (known) return known;
  const bits = new Map(behaviour.storage.map((bit) => [bit.name, bit]));
  const found = new Map<string, readonly Cause[]>();
  const causes = (name: string): readonly Cause[] => {
    const ready = found.get(name);
    if (ready) return ready;
    const bit = bits.get(name);
    if (!bit) return [];
    // A bit that acts on itself at once would come here again: it adds no cause of its own.
    found.set(name, []);
    const all = distinct(causesOfBit(bit, (inner) => (bits.has(inner) ? causes(inner) : undefined)));
    found.set(name, all);
    return all;
  };
  for (const name of bits.keys()) causes(name);
  perBehaviour.set(behaviour, found);
  return found;
}

export const opposite = (edge: Edge): Edge => (edge === "rise" ? "fall" : "rise");

/** The level of a name after this edge. */
export const levelAfter = (edge: Edge): Levels => (edge === "rise" ? HIGH : LOW);

/** How an expression can answer an edge at a pin that stands behind it. */
interface Answer {
  readonly pin: string;
  readonly edge: Edge;
  readonly answer: Edge;
  readonly given: Known;
  /** Set where the pin acts through another storage bit. */
  readonly through?: StorageInput;
}

type CausesOfName = (name: string) => readonly Cause[] | undefined;

function answers(expression: Expression, causesOfName: CausesOfName): readonly Answer[] {
  return namesIn(expression).flatMap((name) =>
    (["rise", "fall"] as const).flatMap((move) =>
      (["rise", "fall"] as const).flatMap((answer): readonly Answer[] => {
        if (!canAnswer(expression, name, move, answer)) return [];
        const given = neededTo((known) => canAnswer(expression, name, move, answer, known), expression, name);
        const inner = causesOfName(name);
        if (!inner) return [{ pin: name, edge: move, answer, given }];
        return inner
          .filter(({ bit }) => bit === move)
          .map((cause) => ({ ...cause, answer, given: new Map([...given, ...cause.given]) }));
      }),
    ),
  );
}

function canAnswer(expression: Expression, name: string, move: Edge, answer: Edge, known?: Known): boolean {
  const { rises, falls } = responseTo(expression, name, known);
  return move === answer ? rises : falls;
}

/** The levels of the names of an expression (but one) without which something about it is impossible. */
function neededTo(isPossible: (known: Known) => boolean, expression: Expression, except?: string): Known {
  const needed = new Map<string, Levels>();
  for (const name of namesIn(expression)) {
    if (name === except) continue;
    const possible = ([LOW, HIGH] as const).filter((level) => isPossible(new Map([[name, level]])));
    const [only] = possible;
    if (possible.length === 1 && only) needed.set(name, only);
  }
  return needed;
}

/** What must hold for an expression to be at this level. */
function neededFor(level: Levels, expression: Expression): Known {
  return neededTo((known) => (possibleLevels(expression, known) & level) !== 0, expression);
}

function causesOfBit(bit: Storage, inner: CausesOfName): readonly Cause[] {
  const causes: Cause[] = [];
  /** Adds a cause unless an override that must not hold cannot but hold after the edge. */
  const add = (
    answer: Answer,
    through: StorageInput,
    moves: readonly Edge[],
    without: readonly Override[],
    given?: Known,
  ) => {
    const { pin, edge } = answer;
    const after = new Map([[pin, levelAfter(edge)]]);
    if (without.some(({ when }) => possibleLevels(when, after) === HIGH)) return;
    const needed = [
      answer.given,
      ...without.map(({ when }) => neededFor(LOW, when)),
      given ?? new Map<string, Levels>(),
    ];
    const all = new Map(needed.flatMap((known) => [...known]));
    // Bits may change with the edge; only pins are sure to stay.
    for (const name of all.keys()) if (name === pin || inner(name)) all.delete(name);
    for (const move of moves) causes.push({ pin, edge, through: answer.through ?? through, bit: move, given: all });
  };

  bit.overrides.forEach(({ when, value }, i) => {
    const stronger = bit.overrides.slice(0, i);
    const weaker = bit.overrides.slice(i + 1);
    for (const answer of answers(when, inner)) {
      if (answer.answer === "rise") {
        add(answer, "override", movesTo(value), stronger);
        continue;
      }
      weaker.forEach((next, n) => {
        const between = [...stronger, ...weaker.slice(0, n)];
        add(answer, "override", movesBetween(value, next.value), between, neededFor(HIGH, next.when));
      });
      if (bit.kind === "latch") {
        const open = neededFor(HIGH, bit.open);
        add(answer, "override", movesBetween(value, bit.next), [...stronger, ...weaker], open);
      }
    }
    const active = neededFor(HIGH, when);
    for (const answer of answers(value, inner)) add(answer, "override", [answer.answer], stronger, active);
  });
  for (const answer of answers(bit.kind === "register" ? bit.clock : bit.open, inner)) {
    if (answer.answer === "fall") continue;
    add(answer, bit.kind === "register" ? "clock" : "latch", movesTo(bit.next), bit.overrides);
  }
  if (bit.kind === "latch") {
    const open = neededFor(HIGH, bit.open);
    for (const answer of answers(bit.next, inner)) add(answer, "latch", [answer.answer], bit.overrides, open);
  }
  return causes;
}

/** The moves of a bit that takes over this value. */
function movesTo(value: Expression): readonly Edge[] {
  return (["rise", "fall"] as const).filter((edge) => (possibleLevels(value) & levelAfter(edge)) !== 0);
}

/** The moves of a bit that was forced to one value and now takes over another. */
function movesBetween(before: Expression, after: Expression): readonly Edge[] {
  return movesTo(after).filter((edge) => (possibleLevels(before) & levelAfter(opposite(edge))) !== 0);
}

function distinct(causes: readonly Cause[]): readonly Cause[] {
  const key = ({ given, ...cause }: Cause) => JSON.stringify([cause, [...given]]);
  return [...new Map(causes.map((cause) => [key(cause), cause])).values()];
}
