import type { Circuit, Net, Passive } from "../circuit/index.js";

/** Resistors that lead from outputs to one net on which no pin is: the wire that leaves for the monitor. */
export interface CableFeed {
  /** The net at the connector. */
  readonly cable: string;
  /** Every resistor between the outputs, the rails and the cable. */
  readonly resistors: readonly Passive[];
  /** The driven nets at which it begins. */
  readonly from: readonly Net[];
}

/**
 * The resistor networks of a circuit that end at a net without pins, with the nets that outputs drive and the rails as their
 * ends. Of several nets without pins, as a ladder has, the cable is the one with the fewest resistors on it; where two have
 * equally few there is no telling, and the network is left out.
 */
export function cableFeeds({ nets, passives }: Circuit): readonly CableFeed[] {
  const byName = new Map(nets.map((net) => [net.name, net]));
  const resistors = passives.filter(({ kind }) => kind === "resistor");
  const isInside = (name: string) => {
    const net = byName.get(name);
    return !net || (!net.rail && !net.input && net.drivers.length + net.receivers.length === 0);
  };
  const placed = new Set<string>();
  const feeds: CableFeed[] = [];
  for (const { nets: ends } of resistors) {
    for (const start of ends) {
      if (!isInside(start) || placed.has(start)) continue;
      const inside = reachedFrom(start, resistors, isInside);
      for (const name of inside) placed.add(name);
      const own = resistors.filter(({ nets: [a, b] }) => inside.has(a) || inside.has(b));
      const cable = fewestLegs(inside, own);
      const edge = new Set(own.flatMap(({ nets: both }) => both).filter((name) => !inside.has(name)));
      const from = [...edge].flatMap((name) => byName.get(name) ?? []).filter((net) => net.drivers.length > 0);
      if (cable !== undefined && from.length > 0) feeds.push({ cable, resistors: own, from });
    }
  }
  return feeds;
}

function reachedFrom(start: string, resistors: readonly Passive[], isInside: (name: string) => boolean): Set<string> {
  const reached = new Set([start]);
  const waiting = [start];
  for (let name = waiting.pop(); name !== undefined; name = waiting.pop()) {
    for (const { nets } of resistors) {
      if (!nets.includes(name)) continue;
      for (const next of nets) {
        if (reached.has(next) || !isInside(next)) continue;
        reached.add(next);
        waiting.push(next);
      }
    }
  }
  return reached;
}

function fewestLegs(inside: ReadonlySet<string>, resistors: readonly Passive[]): string | undefined {
  const legs = new Map([...inside].map((name) => [name, resistors.filter(({ nets }) => nets.includes(name)).length]));
  const fewest = Math.min(...legs.values());
  const [first, ...others] = [...legs].filter(([, count]) => count === fewest);
  return others.length === 0 ? first?.[0] : undefined;
}
