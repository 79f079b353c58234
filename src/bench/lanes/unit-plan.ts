import { type Expression, type Memory, type Output, type Storage, memoryPorts, namesIn } from "../../parts/index.js";
import { actingNames } from "../../simulation/compiled/structure.js";
import type { Instance } from "./group.js";

/** What acts together on a change at a pin: an independent part of one chip. */
export interface Unit {
  readonly instance: Instance;
  /** Bits that act on others first. */
  readonly storage: readonly Storage[];
  readonly outputs: readonly Output[];
  /** A port of a memory; it answers when everything else is at rest. */
  readonly port?: Memory;
  /** An oscillator's output. */
  readonly clock?: { readonly pin: string; readonly enable?: Expression };
  /** Pins whose changes it answers. */
  readonly sensitive: readonly string[];
}

/** Takes a chip apart into what can be worked out by itself. */
export function unitsOf(instance: Instance): readonly Unit[] {
  const { behaviour } = instance;
  const { storage, outputs } = behaviour;
  const isBit = new Set(storage.map(({ name }) => name));
  const isPin = (name: string) => !isBit.has(name);
  const groups = new Groups();
  // Bits that share a clock or read each other, and outputs that show a bit or share an input, go together.
  for (const bit of storage) {
    const names = [...actingNames(bit), ...namesIn(bit.next)];
    groups.join([bit.name, ...names.filter((name) => isBit.has(name)), ...actingNames(bit).filter(isPin).map(pinKey)]);
  }
  for (const { pin, value, enable } of outputs) {
    const names = [value, ...(enable ? [enable] : [])].flatMap(namesIn);
    groups.join([`output ${pin}`, ...names.map((name) => (isBit.has(name) ? name : pinKey(name)))]);
  }
  const units = groups.all().flatMap((members): Unit[] => {
    const own = new Set(members);
    const bits = inActingOrder(storage.filter(({ name }) => own.has(name)));
    const shown = outputs.filter(({ pin }) => own.has(`output ${pin}`));
    if (bits.length + shown.length === 0) return [];
    const read = shown.flatMap(({ value, enable }) => [value, ...(enable ? [enable] : [])].flatMap(namesIn));
    const sensitive = [...new Set([...bits.flatMap(actingNames), ...read])].filter(isPin);
    return [{ instance, storage: bits, outputs: shown, sensitive }];
  });
  const ports = memoryPorts(behaviour).map((port): Unit => {
    const control = [port.read, ...(port.write ? [port.write] : [])].flatMap(namesIn);
    const sensitive = [...new Set([...port.address, ...control, ...(port.write ? port.data : [])])];
    return { instance, storage: [], outputs: [], port, sensitive };
  });
  const { clockSource } = behaviour;
  const clocks: readonly Unit[] = clockSource
    ? [
        {
          instance,
          storage: [],
          outputs: [],
          clock: clockSource,
          sensitive: clockSource.enable ? namesIn(clockSource.enable) : [],
        },
      ]
    : [];
  return [...units, ...ports, ...clocks];
}

function pinKey(name: string): string {
  return `pin ${name}`;
}

/** Bits that act on others before those, as far as they do not act on each other. */
function inActingOrder(bits: readonly Storage[]): readonly Storage[] {
  const byName = new Map(bits.map((bit) => [bit.name, bit]));
  const order: Storage[] = [];
  const seen = new Set<Storage>();
  const visit = (bit: Storage): void => {
    if (seen.has(bit)) return;
    seen.add(bit);
    for (const name of actingNames(bit)) {
      const other = byName.get(name);
      if (other) visit(other);
    }
    order.push(bit);
  };
  bits.forEach(visit);
  return order;
}

/** Names that belong together. */
class Groups {
  private readonly parent = new Map<string, string>();

  join(names: readonly string[]): void {
    const [first] = names;
    if (first === undefined) return;
    for (const name of names) this.parent.set(this.root(name), this.root(first));
  }

  all(): readonly (readonly string[])[] {
    const members = new Map<string, string[]>();
    for (const name of this.parent.keys()) {
      const root = this.root(name);
      const own = members.get(root);
      if (own) own.push(name);
      else members.set(root, [name]);
    }
    return [...members.values()];
  }

  private root(name: string): string {
    const up = this.parent.get(name);
    if (up === undefined) {
      this.parent.set(name, name);
      return name;
    }
    return up === name ? name : this.root(up);
  }
}
