import type { Circuit } from "../../circuit/index.js";
import { decoupling } from "../../electrical/index.js";
import type { Edit } from "./edits.js";

/** One flip-flop of a 74AHCT74. */
export function flipFlop(chip: string, note: string, data: string, clock: string, output: string): Edit {
  return {
    kind: "chip",
    chip,
    part: "74AHCT74",
    note,
    pins: {
      "1CLK": clock,
      "1D": data,
      "1Q": output,
      "1Q#": "open",
      "1PRE#, 1CLR#": "high",
      "2CLK, 2D": "low",
      "2PRE#, 2CLR#": "high",
      "2Q, 2Q#": "open",
    },
  };
}

/** One gate of two inputs. */
export function gate(chip: string, part: string, note: string, one: string, other: string, output: string): Edit {
  return {
    kind: "chip",
    chip,
    part,
    note,
    pins: {
      "1A": one,
      "1B": other,
      "1Y": output,
      "2A, 2B, 3A, 3B, 4A, 4B": "low",
      "2Y, 3Y, 4Y": "open",
    },
  };
}

/** Edits with a capacitor for each chip that they add, where the file lists capacitors. */
export function withCapacitors(circuit: Circuit, edits: readonly Edit[]): readonly Edit[] {
  const added = edits.flatMap((edit) => (edit.kind === "chip" ? [edit.chip] : []));
  if (added.length === 0 || !decoupling(circuit).isStated) return edits;
  const refs = freeNames(
    circuit.passives.map(({ ref }) => ref),
    "C",
    added.length,
  );
  return [
    ...edits,
    ...refs.map((ref, index): Edit => ({
      kind: "passive",
      ref,
      value: "100 nF",
      between: ["high", "low"],
      note: `at ${added[index]}`,
    })),
  ];
}

/** The next names of a letter and a number that are not taken. */
export function freeNames(taken: readonly string[], letter: string, count: number): readonly string[] {
  const free: string[] = [];
  for (let number = 1; free.length < count; number++) {
    if (!taken.includes(`${letter}${number}`)) free.push(`${letter}${number}`);
  }
  return free;
}
