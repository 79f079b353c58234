import { type Behaviour, type Memory, DEFAULT_UNSTATED_MINIMUM, findPart, isPartProblem } from "../../parts/index.js";

/** Those that every written file states. */
export const WRITING_CONDITIONS = {
  supplyVolts: { min: 4.85, max: 5.15 },
  ambientCelsius: { min: 0, max: 50 },
  unstatedMinimum: DEFAULT_UNSTATED_MINIMUM,
};

type NamedMemory = Behaviour & { readonly memory: Memory };

/** A memory's behaviour; undefined where the part is none. */
export function maybeMemory(part: string): NamedMemory | undefined {
  const found = findPart(part, WRITING_CONDITIONS);
  if (isPartProblem(found) || !found.behaviour.memory) return undefined;
  return { ...found.behaviour, memory: found.behaviour.memory };
}

/** A memory's behaviour. Throws RangeError where the part is none. */
export function memoryNamed(part: string): NamedMemory {
  const found = maybeMemory(part);
  if (!found) throw new RangeError(`${part} is no memory on record`);
  return found;
}
