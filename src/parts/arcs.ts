import type { Behaviour } from "./behaviour.js";
import { type StorageInput, causesOf, opposite } from "./causes.js";
import { HIGH, LOW, possibleLevels, responseTo } from "./dependence.js";
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
  const { outputs, memory, clockSource } = behaviour;
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
  for (const pin of memory?.data ?? []) {
    add(pin, (memory?.address ?? []).flatMap(addressSteps));
    if (memory) add(pin, enableSteps(behaviour, memory.read));
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
  return namesIn(expression).flatMap((name) => {
    const { rises, falls } = responseTo(expression, name);
    const movers =
      causesOf(behaviour)
        .get(name)
        ?.map(({ pin, edge, through, bit }) => ({ from: pin, edge, through, moves: bit })) ??
      (["rise", "fall"] as const).map((edge) => ({ from: name, edge, through: direct, moves: edge }));
    return movers.flatMap(({ from, edge, through, moves }) => {
      const answers: readonly Edge[] = [...(rises ? [moves] : []), ...(falls ? [opposite(moves)] : [])];
      return answers.map((answer) => ({ from, edge, through, answer }));
    });
  });
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
