import { stronglyConnected } from "../strongly-connected.js";
import { namesOf } from "./fold.js";
import { type LogicOutput, type LogicSection, type LogicView, netNamed } from "./logic-view.js";

/**
 * Outputs on a way that leads back to itself through gates that always drive: their levels are state, as those of a latch
 * made of two gates are.
 */
export function gateLoops({ nets }: LogicView, sections: readonly LogicSection[]): ReadonlySet<LogicOutput> {
  const all = sections.flatMap(({ outputs }) => outputs).filter(({ enable }) => !enable);
  const indexOf = new Map(all.map((output, index) => [output, index]));
  const readers = all.map((): number[] => []);
  all.forEach(({ value }, index) => {
    for (const name of namesOf(value)) {
      const net = netNamed(name);
      for (const driver of net === undefined ? [] : (nets[net]?.drivers ?? [])) {
        const from = indexOf.get(driver);
        if (from !== undefined) readers[from]?.push(index);
      }
    }
  });
  const next = (node: number) => readers[node] ?? [];
  const loops = stronglyConnected([...all.keys()], next).filter(
    (group) => group.length > 1 || next(group[0] ?? -1).includes(group[0] ?? -1),
  );
  return new Set(loops.flat().flatMap((index) => all[index] ?? []));
}
