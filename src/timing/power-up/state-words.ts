import type { Chip } from "../../circuit/index.js";
import type { StateBit } from "./lane-unit.js";

/** Pins of a counter or a shift register, of which a number says more than a list. */
const COUNTING_PIN = /^Q([A-P]|\d{1,2})$/;

/** What chips hold, as a builder says it: `U5 holds 13, U3 1Q and 3Q high, U4 all low`. */
export function stateWords(levels: Iterable<readonly [StateBit, 0 | 1]>): string {
  const chips = new Map<Chip, (readonly [StateBit, 0 | 1])[]>();
  for (const entry of levels) {
    const [{ section }] = entry;
    chips.set(section.chip, [...(chips.get(section.chip) ?? []), entry]);
  }
  return [...chips]
    .sort(([a], [b]) => collator.compare(a.ref, b.ref))
    .map(([chip, entries]) => chipWords(chip, entries))
    .join(", ");
}

/** The levels of a state given as a number. */
export function levelsOf(bits: readonly StateBit[], state: number): readonly (readonly [StateBit, 0 | 1])[] {
  return bits.map((bit, place) => [bit, (Math.floor(state / 2 ** place) % 2) as 0 | 1] as const);
}

/** `U9 1Q`, `U9 1Q and 2Q`. */
export function bitsWords(bits: readonly StateBit[]): string {
  const chips = new Map<Chip, StateBit[]>();
  for (const bit of bits) chips.set(bit.section.chip, [...(chips.get(bit.section.chip) ?? []), bit]);
  return [...chips].map(([chip, own]) => `${chip.ref} ${listed(own.map((bit) => pinOf(chip, bit)))}`).join(", ");
}

const collator = new Intl.Collator("en", { numeric: true });

function chipWords(chip: Chip, entries: readonly (readonly [StateBit, 0 | 1])[]): string {
  const order = chip.part.behaviour.storage.map(({ name }) => name);
  const sorted = [...entries].sort(([a], [b]) => order.indexOf(a.name) - order.indexOf(b.name));
  const pins = sorted.map(([bit, level]) => ({ pin: pinOf(chip, bit), level }));
  if (pins.length > 1 && pins.every(({ pin }) => COUNTING_PIN.test(pin))) {
    return `${chip.ref} holds ${pins.reduce((sum, { level }, place) => sum + level * 2 ** place, 0)}`;
  }
  const high = pins.filter(({ level }) => level === 1).map(({ pin }) => pin);
  if (pins.length === 1) return `${chip.ref} ${pins[0]?.pin ?? ""} ${high.length === 1 ? "high" : "low"}`;
  return `${chip.ref} ${high.length === 0 ? "all low" : high.length === pins.length ? "all high" : `${listed(high)} high`}`;
}

/** The output that shows a bit as it is, on a net or not; else the bit's own name. */
function pinOf({ part, nets }: Chip, { name, net }: StateBit): string {
  if (net !== undefined) return [...nets].find(([, on]) => on.id === net)?.[0] ?? "";
  const shown = part.behaviour.outputs.find(({ value }) => value.kind === "name" && value.name === name);
  return shown?.pin ?? name;
}

function listed(words: readonly string[]): string {
  const last = words.at(-1) ?? "";
  return words.length < 2 ? last : `${words.slice(0, -1).join(", ")} and ${last}`;
}
