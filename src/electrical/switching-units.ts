import type { Net, Chip } from "../circuit/index.js";
import { type Behaviour, memoryPorts, namesIn } from "../parts/index.js";

/**
 * A gate, multiplexer, buffer, flip-flop or counter of a chip: what a sheet means by "each" where it gives a power
 * dissipation capacitance.
 */
export interface SwitchingUnit {
  /** Its outputs; none for storage that shows at no pin. */
  readonly outputs: readonly string[];
  /** The pins whose frequency counts: the clocks where it stores, else the inputs. */
  readonly paced: readonly string[];
}

/**
 * The units of a function. Storage bits that feed each other are one unit (a counter, a shift register), others one each.
 * Outputs without storage that see the same inputs, or one the others' too, are one (a decoder, an adder), and so are the two
 * ends of a transceiver's channel. Memories and oscillators have none: their sheets give a current.
 */
export function switchingUnits(behaviour: Behaviour): readonly SwitchingUnit[] {
  const { storage, outputs } = behaviour;
  if (memoryPorts(behaviour).length > 0 || behaviour.clockSource) return [];
  const bits = new Map(storage.map((bit) => [bit.name, bit]));
  const group = new Groups([...bits.keys(), ...outputs.map(({ pin }) => `pin ${pin}`)]);
  for (const bit of storage) {
    const feeds = [
      bit.next,
      bit.kind === "register" ? bit.clock : bit.open,
      ...bit.overrides.map(({ value }) => value),
    ];
    for (const other of feeds.flatMap((value) => [...namesIn(value)])) {
      if (bits.has(other)) group.join(bit.name, other);
    }
  }
  const seenBy = outputs.map(({ pin, value }) => ({ pin, sees: new Set(namesIn(value)) }));
  for (const { pin, sees } of seenBy) {
    const stored = [...sees].filter((name) => bits.has(name));
    for (const name of stored) group.join(`pin ${pin}`, name);
    if (stored.length > 0) continue;
    for (const other of seenBy) {
      if (sees.has(other.pin)) group.join(`pin ${pin}`, `pin ${other.pin}`);
      if (other.pin !== pin && [...sees].every((name) => other.sees.has(name)))
        group.join(`pin ${pin}`, `pin ${other.pin}`);
    }
  }
  const pins = new Set(behaviour.pins.map(({ name }) => name));
  return group.all().map((members) => {
    const stored = members.flatMap((name) => bits.get(name) ?? []);
    const shown = outputs.filter(({ pin }) => members.includes(`pin ${pin}`));
    const pacing =
      stored.length > 0
        ? stored.map((bit) => (bit.kind === "register" ? bit.clock : bit.next))
        : shown.map(({ value }) => value);
    const paced = [...new Set(pacing.flatMap((value) => [...namesIn(value)]))].filter((name) => pins.has(name));
    return { outputs: shown.map(({ pin }) => pin), paced };
  });
}

/** Cycles a second of a unit: those of the fastest pin that paces it, or of its fastest output if that is faster. */
export function hertzOf(
  { outputs, paced }: SwitchingUnit,
  { nets }: Chip,
  edgesPerSecond: (net: Net) => number,
): number {
  const edges = [...outputs, ...paced].flatMap((pin) => nets.get(pin) ?? []).map(edgesPerSecond);
  return Math.max(0, ...edges) / 2;
}

/** Names that are joined into groups. */
class Groups {
  private readonly leader: Map<string, string>;

  constructor(names: readonly string[]) {
    this.leader = new Map(names.map((name) => [name, name]));
  }

  join(a: string, b: string): void {
    const [one, other] = [this.find(a), this.find(b)];
    if (one !== other) this.leader.set(one, other);
  }

  all(): readonly (readonly string[])[] {
    const groups = new Map<string, string[]>();
    for (const name of this.leader.keys()) {
      const leader = this.find(name);
      const members = groups.get(leader);
      if (members) members.push(name);
      else groups.set(leader, [name]);
    }
    return [...groups.values()];
  }

  private find(name: string): string {
    let at = name;
    for (let next = this.leader.get(at); next !== undefined && next !== at; next = this.leader.get(at)) at = next;
    return at;
  }
}
