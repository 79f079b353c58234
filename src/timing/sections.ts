import { type Behaviour, type Expression, memoryPorts, namesIn } from "../parts/index.js";

/**
 * The independent parts of a chip: one gate of four, one bit of an octal register. Outputs and storage belong together only
 * where one reads the other; pins that several sections read, such as a common clock, are in each of them. Every section is
 * returned as a behaviour with its own pins, storage and outputs. Each port of a dual-port RAM is a section: what it reads is
 * unknown anyway, and so it makes no difference who wrote it.
 */
export function sectionsOf(behaviour: Behaviour): readonly Behaviour[] {
  if (behaviour.otherPorts) return portsOf(behaviour);
  if (behaviour.memory ?? behaviour.clockSource) return [behaviour];
  const storageNames = new Set(behaviour.storage.map((bit) => bit.name));
  const leader = new Map<string, string>();
  const find = (name: string): string => {
    const up = leader.get(name) ?? name;
    return up === name ? name : find(up);
  };
  const reads = new Map<string, readonly string[]>();
  for (const bit of behaviour.storage) {
    const gate = bit.kind === "register" ? bit.clock : bit.open;
    reads.set(bit.name, names(bit.next, gate, ...bit.overrides.flatMap((o) => [o.when, o.value])));
  }
  for (const output of behaviour.outputs) {
    reads.set(outputKey(output.pin), names(output.value, ...(output.enable ? [output.enable] : [])));
  }
  for (const [reader, read] of reads) {
    for (const name of read) if (storageNames.has(name)) leader.set(find(name), find(reader));
  }
  const groups = new Set([...reads.keys()].map(find));
  return [...groups].map((group) => {
    const outputs = behaviour.outputs.filter((output) => find(outputKey(output.pin)) === group);
    const storage = behaviour.storage.filter((bit) => find(bit.name) === group);
    const used = new Set(outputs.map((output) => output.pin));
    for (const [reader, read] of reads) if (find(reader) === group) for (const name of read) used.add(name);
    return { ...behaviour, storage, outputs, pins: behaviour.pins.filter((pin) => used.has(pin.name)) };
  });
}

function portsOf(behaviour: Behaviour): readonly Behaviour[] {
  const { otherPorts: _others, ...alone } = behaviour;
  return memoryPorts(behaviour).map((memory) => {
    const { address, data, read, write } = memory;
    const used = new Set([...address, ...data, ...names(read, ...(write ? [write] : []))]);
    return { ...alone, memory, pins: behaviour.pins.filter((pin) => used.has(pin.name)) };
  });
}

function outputKey(pin: string): string {
  return `output ${pin}`;
}

function names(...expressions: readonly Expression[]): string[] {
  return expressions.flatMap((expression) => [...namesIn(expression)]);
}
