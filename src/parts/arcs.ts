import { type Behaviour, memoryPorts } from "./behaviour.js";
import { type Cause, type StorageInput, causesOf, levelAfter, opposite } from "./causes.js";
import { HIGH, LOW, dependsOn, possibleLevels, renamed, responseTo } from "./dependence.js";
import { type Expression, namesIn } from "./expression.js";
import type { Change, Edge } from "./figures.js";

/** How an input reaches an output: by logic alone, by its enable, or by changing a storage bit. */
export type Through = "value" | "enable" | StorageInput;

/** An input edge and what the output can do after it: what a figure gives a delay for. */
export interface Move {
  readonly edge: Edge;
  readonly change: Change;
}

export interface Arc {
  /** An input or in-out pin. */
  readonly from: string;
  /** An output or in-out pin. */
  readonly to: string;
  readonly through: Through;
  readonly moves: readonly Move[];
}

const perBehaviour = new WeakMap<Behaviour, readonly Arc[]>();

/**
 * Every way in which an input pin can change an output pin, one for each pair of pins and manner, in the order of the
 * outputs. A memory has arcs from address, select, output enable and write enable; an oscillator only from its enable.
 */
export function arcsOf(behaviour: Behaviour): readonly Arc[] {
  const known = perBehaviour.get(behaviour);
  if (known) return known;
  const { outputs, clockSource } = behaviour;
  const arcs = new Map<string, Arc & { readonly moves: Move[] }>();
  const add = (to: string, steps: readonly Step[]) => {
    for (const { from, through, edge, change } of steps) {
      const key = `${from} ${to} ${through}`;
      const arc = arcs.get(key) ?? { from, to, through, moves: [] };
      if (!arc.moves.some((move) => move.edge === edge && move.change === change)) arc.moves.push({ edge, change });
      arcs.set(key, arc);
    }
  };
  for (const { pin, value, enable } of outputs) {
    add(pin, valueSteps(behaviour, value));
    if (enable) add(pin, enableSteps(behaviour, enable, value));
  }
  for (const { address, data, read } of memoryPorts(behaviour)) {
    for (const pin of data) {
      add(pin, address.flatMap(addressSteps));
      add(pin, enableSteps(behaviour, read));
    }
  }
  if (clockSource?.enable) add(clockSource.pin, enableSteps(behaviour, clockSource.enable));
  const list = [...arcs.values()];
  perBehaviour.set(behaviour, list);
  return list;
}

interface Step extends Move {
  readonly from: string;
  readonly through: Through;
}

/** The input edges that can move an expression, and which way; `direct` is the manner of pins named in it. */
function answeringEdges(behaviour: Behaviour, expression: Expression, direct: "value" | "enable") {
  const causes = causesOf(behaviour);
  return namesIn(expression).flatMap((name) => {
    const { rises, falls } = responseTo(expression, name);
    const inner = causes.get(name);
    if (!inner) {
      return (["rise", "fall"] as const).flatMap((edge) => {
        const all: readonly Edge[] = [...(rises ? [edge] : []), ...(falls ? [opposite(edge)] : [])];
        return all.map((answer) => ({ from: name, edge, through: direct as Through, answer }));
      });
    }
    return inner.flatMap((cause) =>
      (["rise", "fall"] as const)
        .filter((answer) => canFollow(expression, name, cause, answer, causes))
        .map((answer) => ({ from: cause.pin, edge: cause.edge, through: cause.through as Through, answer })),
    );
  });
}

/**
 * Whether an expression can make this answer when a storage bit changes by this cause: the bit and the pin change, other
 * bits may change with them, other pins stay.
 */
function canFollow(
  expression: Expression,
  bit: string,
  cause: Cause,
  answer: Edge,
  storage: ReadonlyMap<string, unknown>,
): boolean {
  const { pin, edge, given } = cause;
  if (!dependsOn(expression, bit, new Map([...given, [pin, levelAfter(edge)]]))) return false;
  const later = (name: string) => (name === pin || storage.has(name) ? `${name}'` : name);
  const known = new Map([
    ...given,
    [pin, levelAfter(opposite(edge))],
    [later(pin), levelAfter(edge)],
    [bit, levelAfter(opposite(cause.bit))],
    [later(bit), levelAfter(cause.bit)],
  ] as const);
  const after = renamed(expression, later);
  const [low, high] = answer === "rise" ? [expression, after] : [after, expression];
  const moves: Expression = { kind: "and", left: { kind: "not", of: low }, right: high };
  return (possibleLevels(moves, known) & HIGH) !== 0;
}

function valueSteps(behaviour: Behaviour, value: Expression): readonly Step[] {
  return answeringEdges(behaviour, value, "value").map(({ answer, ...step }) => ({ ...step, change: answer }));
}

function enableSteps(behaviour: Behaviour, enable: Expression, value?: Expression): readonly Step[] {
  const levels = value ? possibleLevels(value) : HIGH | LOW;
  const begun: readonly Change[] = [
    ...((levels & HIGH) !== 0 ? (["z-to-high"] as const) : []),
    ...((levels & LOW) !== 0 ? (["z-to-low"] as const) : []),
  ];
  const givenUp = begun.map((change) => (change === "z-to-high" ? "high-to-z" : "low-to-z"));
  return answeringEdges(behaviour, enable, "enable").flatMap(({ answer, ...step }) =>
    (answer === "rise" ? begun : givenUp).map((change) => ({ ...step, change })),
  );
}

function addressSteps(from: string): readonly Step[] {
  return (["rise", "fall"] as const).flatMap((edge) =>
    (["rise", "fall"] as const).map((change) => ({ from, through: "value" as const, edge, change })),
  );
}
