import { Groups } from "./groups.js";
import { type Behaviour, type Expression, type Output, type Storage, namesIn } from "../parts/index.js";

/** Outputs and storage bits of a part that a data sheet would put in one function table. */
export interface FunctionUnit {
  readonly outputs: readonly Output[];
  /** Empty for plain logic. */
  readonly bits: readonly Storage[];
}

/** Units that are alike but for the names of their pins: the eight flip-flops of a 574, the two halves of a 74. */
export interface AlikeUnits {
  readonly first: FunctionUnit;
  /** For each unit: its names, in an order in which they correspond. */
  readonly names: readonly (readonly string[])[];
}

/**
 * Splits a behaviour into units: bits of one clock that act on each other with the outputs that show one of them each, then
 * outputs of plain logic that answer to the same pins. Units that are alike are put together.
 */
export function functionUnits(behaviour: Behaviour): readonly AlikeUnits[] {
  const alike = new Map<string, { first: FunctionUnit; names: (readonly string[])[] }>();
  for (const unit of unitsOf(behaviour)) {
    const { text, names } = fingerprint(unit);
    const known = alike.get(text);
    if (known) known.names.push(names);
    else alike.set(text, { first: unit, names: [names] });
  }
  return [...alike.values()];
}

/** The bits of a unit that no output shows, neither as they are nor inverted. */
export function hiddenBits({ outputs, bits }: FunctionUnit): readonly Storage[] {
  const shown = new Set(outputs.flatMap(({ value }) => shownBit(value) ?? []));
  return bits.filter(({ name }) => !shown.has(name));
}

/** The name that an expression shows as it is or inverted. */
function shownBit(value: Expression): string | undefined {
  if (value.kind === "not") return shownBit(value.of);
  return value.kind === "name" ? value.name : undefined;
}

/** Every expression of a storage bit. */
function expressionsOf(bit: Storage): readonly Expression[] {
  const clock = bit.kind === "register" ? bit.clock : bit.open;
  return [clock, bit.next, ...bit.overrides.flatMap(({ when, value }) => [when, value])];
}

function unitsOf(behaviour: Behaviour): readonly FunctionUnit[] {
  const bits = new Map(behaviour.storage.map((bit) => [bit.name, bit]));
  const isBit = (name: string) => bits.has(name);
  const groups = new Groups();
  for (const bit of bits.values()) {
    for (const other of expressionsOf(bit).flatMap(namesIn).filter(isBit)) {
      if (domainOf(bit, bits) === domainOf(bits.get(other), bits)) groups.join(bit.name, other);
    }
  }
  const drivers = new Map(behaviour.outputs.map((output) => [output.pin, output]));
  for (const output of behaviour.outputs) {
    const names = namesOf(output);
    const shown = [...new Set(names.filter(isBit))];
    const [only] = shown;
    if (shown.length === 1 && only !== undefined) groups.join(output.pin, only);
    else groups.join(output.pin, `answers to ${[...names].sort().join(" ")}`);
    for (const name of names) if (drivers.has(name)) groups.join(output.pin, name);
  }
  const keys = new Map<string, { outputs: Output[]; bits: Storage[] }>();
  const unit = (name: string) => {
    const key = groups.of(name);
    const found = keys.get(key) ?? { outputs: [], bits: [] };
    keys.set(key, found);
    return found;
  };
  for (const bit of bits.values()) unit(bit.name).bits.push(bit);
  for (const output of behaviour.outputs) unit(output.pin).outputs.push(output);
  // A latch that no output shows only helps a clock; tables of what the clock does cover it.
  return [...keys.values()].filter(
    ({ outputs, bits: held }) => outputs.length > 0 || held.some(({ kind }) => kind === "register"),
  );
}

/** The pins that a bit waits for: bits of one domain change together. */
function domainOf(bit: Storage | undefined, bits: ReadonlyMap<string, Storage>): string {
  const pins = new Set<string>();
  const seen = new Set<string>();
  const visit = (expression: Expression): void => {
    for (const name of namesIn(expression)) {
      const inner = bits.get(name);
      if (!inner) pins.add(name);
      else if (inner.kind === "register" && !seen.has(name)) {
        seen.add(name);
        visit(inner.clock);
      }
    }
  };
  if (bit) visit(bit.kind === "register" ? bit.clock : bit.open);
  return `${bit?.kind} ${[...pins].sort().join(" ")}`;
}

function namesOf({ value, enable }: Output): readonly string[] {
  return [...new Set([...namesIn(value), ...(enable ? namesIn(enable) : [])])];
}

/** A unit with its names replaced by numbers in order of first mention, and those names. */
function fingerprint({ outputs, bits }: FunctionUnit): { readonly text: string; readonly names: readonly string[] } {
  const numbers = new Map<string, number>();
  const number = (name: string) => {
    const known = numbers.get(name) ?? numbers.size;
    numbers.set(name, known);
    return known;
  };
  const text = JSON.stringify([outputs, bits], (key, value: unknown) =>
    (key === "name" || key === "pin") && typeof value === "string" ? number(value) : value,
  );
  return { text, names: [...numbers.keys()] };
}
