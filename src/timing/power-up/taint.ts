import { namesOf } from "./fold.js";
import { type LogicNetId, type LogicSection, type LogicView, expressionsOf, netNamed } from "./logic-view.js";

/** What follows from the oscillator alone, and what may go either way. */
export interface Free {
  /** Nets that rest on something outside, a memory or an open pin. */
  readonly nets: ReadonlySet<LogicNetId>;
  readonly sections: ReadonlySet<LogicSection>;
}

/** Everything to which a way leads from a net of unknown level. */
export function freePart({ nets, sections }: LogicView): Free {
  const freeNets = new Set(nets.filter(({ isUnknown }) => isUnknown).map(({ id }) => id));
  const freeSections = new Set<LogicSection>();
  const open = [...freeNets];
  for (let net = open.pop(); net !== undefined; net = open.pop()) {
    for (const section of nets[net]?.readers ?? []) {
      if (freeSections.has(section)) continue;
      freeSections.add(section);
      for (const { net: driven } of section.outputs) {
        if (freeNets.has(driven)) continue;
        freeNets.add(driven);
        open.push(driven);
      }
    }
  }
  return { nets: freeNets, sections: new Set(sections.filter((section) => freeSections.has(section))) };
}

/**
 * Nets and sections from which a way leads to a clock, an enable, an asynchronous input, a write strobe, or one of the nets
 * given, such as a sync.
 */
export function controlPart({ nets, sections, memories, memoryReads }: LogicView, also: readonly LogicNetId[]): Free {
  const control = new Set<LogicNetId>(also);
  const found = new Set<LogicSection>();
  const open = [...also];
  const mark = (names: readonly string[]) => {
    for (const name of names) {
      const net = netNamed(name);
      if (net === undefined || control.has(net)) continue;
      control.add(net);
      open.push(net);
    }
  };
  for (const { writing } of memories) for (const { value } of writing.outputs) mark(namesOf(value));
  for (const read of memoryReads) mark(namesOf(read));
  for (const { storage, outputs } of sections) {
    for (const bit of storage) {
      mark(namesOf(bit.kind === "register" ? bit.clock : bit.open));
      for (const { when } of bit.overrides) mark(namesOf(when));
    }
    for (const { enable } of outputs) if (enable) mark(namesOf(enable));
  }
  for (let net = open.pop(); net !== undefined; net = open.pop()) {
    for (const { section } of nets[net]?.drivers ?? []) {
      if (found.has(section)) continue;
      found.add(section);
      for (const expression of expressionsOf(section)) mark(namesOf(expression));
    }
  }
  return { nets: control, sections: found };
}
