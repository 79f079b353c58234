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

/** How an expression can answer edges at the pins behind it. */
interface Answer {
  readonly pin: string;
  readonly edge: Edge;
  readonly answer: Edge;
  /** Set where the pin acts through another storage bit. */
  readonly through?: StorageInput;
}

function answers(
  expression: Expression,
  causesOfName: (name: string) => readonly Cause[] | undefined,
): readonly Answer[] {
  return namesIn(expression).flatMap((name) => {
    const { rises, falls } = responseTo(expression, name);
    const answersTo = (edge: Edge): readonly Edge[] => [...(rises ? [edge] : []), ...(falls ? [opposite(edge)] : [])];
    const inner = causesOfName(name);
    if (!inner) {
      return (["rise", "fall"] as const).flatMap((edge) =>
        answersTo(edge).map((answer): Answer => ({ pin: name, edge, answer })),
      );
    }
    return inner.flatMap(({ pin, edge, through, bit }) =>
      answersTo(bit).map((answer): Answer => ({ pin, edge, answer, through })),
    );
  });
}

function causesOfBit(bit: Storage, inner: (name: string) => readonly Cause[] | undefined): readonly Cause[] {
  const causes: Cause[] = [];
  const add = ({ pin, edge, through: deeper }: Answer, through: StorageInput, moves: readonly Edge[]) => {
    for (const move of moves) causes.push({ pin, edge, through: deeper ?? through, bit: move });
  };
  const overridesStill = ({ pin, edge }: Answer, overrides: readonly Override[]) =>
    overrides.some(({ when }) => possibleLevels(when, after(pin, edge)) === HIGH);

  bit.overrides.forEach(({ when, value }, i) => {
    const stronger = bit.overrides.slice(0, i);
    const weaker = bit.overrides.slice(i + 1);
    for (const answer of answers(when, inner)) {
      if (overridesStill(answer, stronger)) continue;
      if (answer.answer === "rise") add(answer, "override", movesTo(value));
      else {
        const next = weaker.flatMap((override) => movesTo(override.value));
        add(answer, "override", bit.kind === "latch" ? [...next, ...movesTo(bit.next)] : next);
      }
    }
    for (const answer of answers(value, inner)) {
      if (!overridesStill(answer, stronger)) add(answer, "override", [answer.answer]);
    }
  });
  for (const answer of answers(bit.kind === "register" ? bit.clock : bit.open, inner)) {
    if (answer.answer === "fall" || overridesStill(answer, bit.overrides)) continue;
    add(answer, bit.kind === "register" ? "clock" : "latch", movesTo(bit.next));
  }
  if (bit.kind === "latch") {
    for (const answer of answers(bit.next, inner)) {
      if (!overridesStill(answer, bit.overrides)) add(answer, "latch", [answer.answer]);
    }
  }
  return causes;
}

/** The moves of a bit that takes over this value. */
function movesTo(value: Expression): readonly Edge[] {
  const levels: Levels = possibleLevels(value);
  return [...((levels & HIGH) !== 0 ? (["rise"] as const) : []), ...((levels & LOW) !== 0 ? (["fall"] as const) : [])];
}

function after(pin: string, edge: Edge): Known {
  return new Map([[pin, edge === "rise" ? HIGH : LOW]]);
}

function distinct(causes: readonly Cause[]): readonly Cause[] {
  return [...new Map(causes.map((cause) => [Object.values(cause).join(" "), cause])).values()];
}
