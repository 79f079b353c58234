import { stronglyConnected } from "../strongly-connected.js";
import type { LogicNetId, LogicSection, LogicView } from "./logic-view.js";

/** Sections that lead back to one another, or one by itself: what has to be followed together. */
export interface Part {
  readonly index: number;
  readonly sections: readonly LogicSection[];
  /** Parts before this one whose nets it reads, each with those nets. */
  readonly parents: readonly { readonly part: Part; readonly nets: readonly LogicNetId[] }[];
  /** Whether it reads the oscillator itself. */
  readonly readsOscillator: boolean;
  /** Those that it drives and others read. */
  readonly shown: readonly LogicNetId[];
  /** A way leads from its storage back to its storage. */
  readonly leadsBack: boolean;
}

/**
 * Splits sections into parts, each after those that it rests on. Sections that share a net as drivers stay together, for
 * what it shows hangs on all of them.
 */
export function partsOf({ nets }: LogicView, sections: readonly LogicSection[]): readonly Part[] {
  const chosen = new Set(sections);
  const groups = joinedDrivers(nets, sections);
  const groupOf = new Map(groups.flatMap((group, index) => group.map((section) => [section, index] as const)));
  const readers = groups.map((group) => {
    const out = new Set<number>();
    for (const section of group) {
      for (const { net } of section.outputs) {
        for (const reader of nets[net]?.readers ?? []) if (chosen.has(reader)) out.add(groupOf.get(reader) ?? -1);
      }
    }
    return [...out];
  });
  const next = (group: number) => readers[group] ?? [];
  const partOf = new Map<LogicSection, Part>();
  const parts: Part[] = [];
  for (const component of stronglyConnected([...groups.keys()], next)) {
    const own = component.flatMap((group) => groups[group] ?? []);
    const members = new Set(own);
    const parents = new Map<Part, Set<LogicNetId>>();
    let readsOscillator = false;
    for (const section of own) {
      for (const id of section.reads) {
        const net = nets[id];
        if (net?.isOscillator) readsOscillator = true;
        for (const driver of net?.drivers ?? []) {
          const parent = partOf.get(driver.section);
          if (parent) parents.set(parent, (parents.get(parent) ?? new Set()).add(id));
        }
      }
    }
    const shown = own.flatMap(({ outputs }) =>
      outputs.flatMap(({ net }) => (nets[net]?.readers.some((reader) => !members.has(reader)) ? [net] : [])),
    );
    const part: Part = {
      index: parts.length,
      sections: own,
      parents: [...parents].map(([parent, read]) => ({ part: parent, nets: [...read] })),
      readsOscillator,
      shown: [...new Set(shown)],
      leadsBack: component.length > 1 || own.length > 1 || next(component[0] ?? -1).includes(component[0] ?? -1),
    };
    parts.push(part);
    for (const section of own) partOf.set(section, part);
  }
  return parts;
}

/** A part and all that it rests on, in order. */
export function withAncestors(parts: readonly Part[]): readonly Part[] {
  const found = new Set<Part>();
  const visit = (part: Part): void => {
    if (found.has(part)) return;
    found.add(part);
    for (const { part: parent } of part.parents) visit(parent);
  };
  parts.forEach(visit);
  return [...found].sort((a, b) => a.index - b.index);
}

function joinedDrivers(nets: LogicView["nets"], sections: readonly LogicSection[]): readonly LogicSection[][] {
  const leader = new Map<LogicSection, LogicSection>();
  const find = (section: LogicSection): LogicSection => {
    const up = leader.get(section) ?? section;
    return up === section ? section : find(up);
  };
  for (const section of sections) {
    for (const { net } of section.outputs) {
      const [first] = nets[net]?.drivers ?? [];
      if (first && first.section !== section) leader.set(find(section), find(first.section));
    }
  }
  const groups = new Map<LogicSection, LogicSection[]>();
  for (const section of sections) {
    const head = find(section);
    groups.set(head, [...(groups.get(head) ?? []), section]);
  }
  return [...groups.values()];
}
