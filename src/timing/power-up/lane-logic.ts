import type { Expression } from "../../parts/index.js";

/** A signal in many states of the circuit at once: bit `l % 32` of word `l / 32` is its level in lane `l`. */
export interface Lanes {
  now: Int32Array;
  /** Before the changes of the moment. */
  old: Int32Array;
}

/** One word of an expression's value. */
export type LaneLogic = (word: number) => number;

/** Compiles an expression over lanes; `leaf` gives the logic of a name. */
export function laneLogic(expression: Expression, leaf: (name: string) => LaneLogic): LaneLogic {
  switch (expression.kind) {
    case "constant": {
      const level = expression.value === 1 ? -1 : 0;
      return () => level;
    }
    case "name":
      return leaf(expression.name);
    case "not": {
      const of = laneLogic(expression.of, leaf);
      return (word) => ~of(word);
    }
    case "and":
    case "or":
    case "xor": {
      const left = laneLogic(expression.left, leaf);
      const right = laneLogic(expression.right, leaf);
      if (expression.kind === "and") return (word) => left(word) & right(word);
      if (expression.kind === "or") return (word) => left(word) | right(word);
      return (word) => left(word) ^ right(word);
    }
    case "choose": {
      const when = laneLogic(expression.when, leaf);
      const then = laneLogic(expression.then, leaf);
      const otherwise = laneLogic(expression.otherwise, leaf);
      return (word) => {
        const chosen = when(word);
        return (chosen & then(word)) | (~chosen & otherwise(word));
      };
    }
  }
}

export function present(lanes: Lanes): LaneLogic {
  return (word) => lanes.now[word] as number;
}

export function former(lanes: Lanes): LaneLogic {
  return (word) => lanes.old[word] as number;
}

/** Sets `to` to the logic's value; whether that changed it. */
export function assign(to: Int32Array, logic: LaneLogic, words: number): boolean {
  let changed = 0;
  for (let word = 0; word < words; word++) {
    const value = logic(word);
    changed |= value ^ (to[word] as number);
    to[word] = value;
  }
  return changed !== 0;
}

/** Copies lanes; whether that changed them. */
export function copyLanes(to: Int32Array, from: Int32Array, words: number): boolean {
  let changed = 0;
  for (let word = 0; word < words; word++) {
    const value = from[word] as number;
    changed |= value ^ (to[word] as number);
    to[word] = value;
  }
  return changed !== 0;
}
