import { type Behaviour, evaluate, namesIn } from "../../parts/index.js";

/** A gate that joins all its inputs alike: high at `all` inputs high only, or low at all inputs low only, and turned over. */
export interface GateCell {
  readonly inputs: readonly string[];
  readonly output: string;
  readonly joins: "and" | "or";
  readonly inverts: boolean;
}

/** The gates of a function; undefined where it is anything else. */
export function gatesOf({ storage, memory, outputs, clockSource }: Behaviour): readonly GateCell[] | undefined {
  if (memory || clockSource || storage.length > 0 || outputs.length === 0) return undefined;
  const found = outputs.map(({ pin, value, enable }): GateCell | undefined => {
    const inputs = namesIn(value);
    if (enable || inputs.length > MOST_INPUTS) return undefined;
    const shows = (high: number) => evaluate(value, (name) => (((high >> inputs.indexOf(name)) & 1) === 1 ? 1 : 0));
    const all = 2 ** inputs.length - 1;
    const [none, full] = [shows(0), shows(all)];
    if (none === full) return undefined;
    const between = Array.from({ length: all - 1 }, (_, index) => shows(index + 1));
    if (!between.every((level) => level === between[0])) return undefined;
    const joins = between.length === 0 || between[0] === none ? "and" : "or";
    return { inputs, output: pin, joins, inverts: full === 0 };
  });
  return found.every((one) => one !== undefined) ? found : undefined;
}

const MOST_INPUTS = 8;
