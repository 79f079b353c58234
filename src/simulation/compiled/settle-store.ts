import type { CarefulMemory } from "./careful-memory.js";
import { Levels } from "./level.js";
import { levelOfNet } from "./net-level.js";
import { PresentGraph } from "./present-graph.js";
import type { Rest } from "./step-view.js";
import type { Store } from "./store.js";

/** Brings all nets up to what storage, sources and memories hold now, known or not. Clocks do not act on what changes. */
export function settleStore(store: Store, memory: CarefulMemory): void {
  const { structure } = store;
  const graph = new PresentGraph(memory);
  const all = Array.from({ length: structure.signalCount }, (_, signal) => store.get(signal));
  const levels = all.map(({ level }) => level);
  const driven = all.map(({ driven }) => driven);
  const rest: Rest = { levels, driven, arrays: structure.memories.map(() => 0) };
  const context = { structure, graph, levels: new Levels(graph), followsUnknown: true };
  // A loop may have no rest; it is left as it is then.
  for (let round = 0, changed = true; changed && round < structure.netCount; round++) {
    changed = false;
    for (let net = 0; net < structure.netCount; net++) {
      const made = levelOfNet(context, net, rest);
      const old = levels[net];
      const isSame = old?.value === made.level.value && old.known === made.level.known && driven[net] === made.driven;
      if (isSame) continue;
      changed = true;
      [levels[net], driven[net]] = [made.level, made.driven];
      store.put(net, made.level, made.driven);
    }
  }
}
