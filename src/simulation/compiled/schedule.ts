import { namesIn } from "../../parts/index.js";
import { driversBut } from "./net-level.js";
import type { Ordering } from "./ordering.js";
import { type Driver, type Signal, type Structure, actingNames } from "./structure.js";

/** Something whose new level is worked out in one go. A loop is a set of parts that wait for each other. */
export type Part =
  | { readonly kind: "net"; readonly net: Signal }
  | { readonly kind: "cluster"; readonly cluster: number }
  | { readonly kind: "memory"; readonly memory: number }
  | { readonly kind: "loop"; readonly parts: readonly Exclude<Part, { kind: "loop" }>[] };

/** The parts that can change after an outside change, each after all that act on it. */
export function scheduleOf(structure: Structure, ordering: Ordering): readonly Part[] {
  return new Scheduler(structure, ordering).schedule();
}

class Scheduler {
  private readonly structure: Structure;
  private readonly ordering: Ordering;
  private readonly firstCluster: number;
  private readonly firstMemory: number;
  private readonly clusterOfSignal = new Map<Signal, number>();

  constructor(structure: Structure, ordering: Ordering) {
    this.structure = structure;
    this.ordering = ordering;
    this.firstCluster = structure.netCount;
    this.firstMemory = this.firstCluster + structure.clusters.length;
    structure.bits.forEach(({ signal }, bit) => this.clusterOfSignal.set(signal, structure.clusterOf[bit] ?? 0));
  }

  schedule(): readonly Part[] {
    const { structure, ordering } = this;
    const parts: Part[] = [];
    const wanted: number[] = [];
    for (let net = 0; net < structure.netCount; net++) if (ordering.canChange(net)) wanted.push(net);
    structure.clusters.forEach(({ bits }, cluster) => {
      if (bits.some((bit) => ordering.canChange(structure.bits[bit]?.signal ?? 0)))
        wanted.push(this.firstCluster + cluster);
    });
    structure.memories.forEach((_, memory) => {
      if (this.canWrite(memory)) wanted.push(this.firstMemory + memory);
    });
    for (const component of componentsOf(wanted, (node) => this.before(node))) {
      const members = component.map((node) => this.partOf(node));
      const [only] = members;
      if (members.length === 1 && only && !this.before(component[0] ?? 0).includes(component[0] ?? 0)) parts.push(only);
      else parts.push({ kind: "loop", parts: members });
    }
    return parts;
  }

  private partOf(node: number): Exclude<Part, { kind: "loop" }> {
    if (node >= this.firstMemory) return { kind: "memory", memory: node - this.firstMemory };
    if (node >= this.firstCluster) return { kind: "cluster", cluster: node - this.firstCluster };
    return { kind: "net", net: node };
  }

  /** The parts that must be known before this one. */
  private before(node: number): readonly number[] {
    const { structure, ordering } = this;
    const nodes = new Set<number>();
    const read = (signal: Signal) => {
      if (!ordering.canChange(signal)) return;
      const cluster = this.clusterOfSignal.get(signal);
      if (cluster !== undefined) nodes.add(this.firstCluster + cluster);
      else if (signal < structure.netCount) nodes.add(signal);
    };
    const part = this.partOf(node);
    const readDriver = (driver: Driver) => {
      if (driver.kind === "memory") {
        const memory = structure.ports[driver.port]?.memory ?? 0;
        if (this.canWrite(memory)) nodes.add(this.firstMemory + memory);
        for (const signal of readSignals(structure, driver.port)) read(signal);
      } else if (driver.kind === "logic") {
        const { chip, value, enable } = driver;
        for (const name of [value, ...(enable ? [enable] : [])].flatMap(namesIn)) read(structure.signalOf(chip, name));
      }
    };
    if (part.kind === "net") {
      driversBut(structure, part.net, -1).forEach(readDriver);
    } else if (part.kind === "cluster") {
      const own = structure.clusters[part.cluster];
      for (const bit of own?.bits ?? []) {
        const { chip, storage } = structure.bits[bit] ?? {};
        if (!chip || !storage) continue;
        for (const name of actingNames(storage)) {
          const signal = structure.signalOf(chip, name);
          if (this.clusterOfSignal.get(signal) !== part.cluster) read(signal);
        }
      }
    } else {
      for (const index of structure.memories[part.memory]?.ports ?? []) {
        const port = structure.ports[index];
        if (!port?.write) continue;
        for (const signal of readSignals(structure, index)) read(signal);
        // While it is written its own outputs are off, so what it drives itself is no part of what it sees.
        for (const signal of port.data) driversBut(structure, signal, index).forEach(readDriver);
      }
    }
    return [...nodes];
  }

  /** Whether a write can begin, end or go on with other data. */
  private canWrite(memory: number): boolean {
    const { memories, ports } = this.structure;
    return (memories[memory]?.ports ?? []).some(
      (index) => ports[index]?.write && memorySignals(this.structure, memory).some((s) => this.ordering.canChange(s)),
    );
  }
}

/** Signals that decide what a port gives out, or whether it is written: its address and its controls. */
export function readSignals({ ports, signalOf }: Structure, index: number): readonly Signal[] {
  const port = ports[index];
  if (!port) return [];
  const names = [port.read, ...(port.write ? [port.write] : [])].flatMap(namesIn);
  return [...port.address, ...names.map((name) => signalOf(port.chip, name))];
}

/** All signals that a memory looks at. */
export function memorySignals({ memories, ports, signalOf }: Structure, memory: number): readonly Signal[] {
  const signals = new Set<Signal>();
  for (const index of memories[memory]?.ports ?? []) {
    const port = ports[index];
    if (!port) continue;
    for (const signal of [...port.address, ...port.data]) signals.add(signal);
    for (const name of [port.read, ...(port.write ? [port.write] : [])].flatMap(namesIn)) {
      signals.add(signalOf(port.chip, name));
    }
  }
  return [...signals];
}

/** Strongly connected components, each after those that it needs (Tarjan's algorithm). */
function componentsOf(nodes: readonly number[], before: (node: number) => readonly number[]): number[][] {
  const index = new Map<number, number>();
  const low = new Map<number, number>();
  const stack: number[] = [];
  const onStack = new Set<number>();
  const components: number[][] = [];
  const wanted = new Set(nodes);
  const visit = (node: number): void => {
    index.set(node, index.size);
    low.set(node, index.get(node) ?? 0);
    stack.push(node);
    onStack.add(node);
    for (const needed of before(node)) {
      if (!wanted.has(needed)) continue;
      if (!index.has(needed)) {
        visit(needed);
        low.set(node, Math.min(low.get(node) ?? 0, low.get(needed) ?? 0));
      } else if (onStack.has(needed)) {
        low.set(node, Math.min(low.get(node) ?? 0, index.get(needed) ?? 0));
      }
    }
    if (low.get(node) !== index.get(node)) return;
    const component: number[] = [];
    for (;;) {
      const member = stack.pop();
      if (member === undefined) break;
      onStack.delete(member);
      component.push(member);
      if (member === node) break;
    }
    components.push(component);
  };
  for (const node of nodes) if (!index.has(node)) visit(node);
  return components;
}
