import type { Chip, Circuit, Net, PinRef } from "../../circuit/index.js";
import { withCapacitors } from "./added-chips.js";
import { type Demand, costOf } from "./demands.js";
import { gainBefore } from "./delaying-gates.js";
import { type PassingGate, asksForTtl, passingGates } from "./passing-gates.js";
import type { Edit } from "./edits.js";
import { GateMaker } from "./gate-maker.js";
import { freeNetName } from "./register-graph.js";
import type { InputLimit } from "./input-limits.js";
import type { StandIn } from "./stand-in.js";

/** Stand-ins that are offered, the least short first. */
const MOST = 12;

/**
 * A gate that takes over so many readers of a net that its driver bears the rest: all that ask for CMOS levels where the driver
 * is a can, whose sheet counts inputs where all are for TTL levels, and as many others as it takes. Which, is chosen so that as
 * little as possible is short.
 */
export function bufferedNets(
  circuit: Circuit,
  chip: Chip,
  demands: readonly Demand[],
  limits: readonly InputLimit[],
): readonly StandIn[] {
  const limit = limits.find(
    ({ net, count, most }) => net.drivers.some((driver) => driver.chip === chip) && count > most,
  );
  if (!limit || chip.supply.name !== "main") return [];
  const { net, most } = limit;
  const sources = new Set(net.drivers.map((driver) => `${driver.chip.ref} ${driver.pin}`));
  const own = demands.filter(({ verdict: { chains } }) =>
    [...(chains?.earlier ?? []), ...(chains?.later ?? [])].some(({ from }) => sources.has(from)),
  );
  // Other parts may bear shorter pulses: which chips go together then is another matter.
  const ofOtherParts = own.filter(({ verdict }) => verdict.rule !== "pulse width");
  // The gate is on the net itself: for CMOS levels it would make the sheet count picofarads again.
  const gates = passingGates(circuit, chip).filter(({ part }) => asksForTtl(part));
  const found = gates.flatMap((gate) =>
    [own, ofOtherParts].map((asked) => {
      const behind = chooseBehind(net, most - 1, asked, gate);
      return { behind, gate, cost: shortWith(asked, behind, gate) };
    }),
  );
  return found
    .sort((a, b) => a.cost - b.cost)
    .slice(0, MOST)
    .map(({ behind, gate }) => standIn(circuit, net, behind, gate));
}

/** Readers of a net, all pins of a chip together, that go behind the gate. */
function chooseBehind(net: Net, mostDirect: number, demands: readonly Demand[], gate: PassingGate): readonly PinRef[] {
  const refs = [...new Set(net.receivers.map(({ chip }) => chip.ref))];
  const pinsOf = (chosen: ReadonlySet<string>) => net.receivers.filter(({ chip }) => chosen.has(chip.ref));
  const must = new Set(net.receivers.filter(({ chip }) => !asksForTtl(chip.part)).map(({ chip }) => chip.ref));
  const chosen = new Set(refs);
  const cost = () =>
    shortWith(demands, pinsOf(chosen), gate) + (net.receivers.length - pinsOf(chosen).length > mostDirect ? 1e3 : 0);
  for (let isBetter = true; isBetter;) {
    isBetter = false;
    for (const ref of refs) {
      if (must.has(ref)) continue;
      const before = cost();
      const was = chosen.delete(ref);
      if (!was) chosen.add(ref);
      if (cost() < before - SURELY) isBetter = true;
      else if (was) chosen.add(ref);
      else chosen.delete(ref);
    }
  }
  return pinsOf(chosen);
}

const SURELY = 1e-6;

function shortWith(demands: readonly Demand[], behind: readonly PinRef[], gate: PassingGate): number {
  const gain = gainOf(behind, gate);
  return demands.reduce((sum, demand) => sum + demand.weight * costOf(demand.marginNs + gain(demand.verdict)), 0);
}

function gainOf(behind: readonly PinRef[], gate: PassingGate) {
  const names = new Set(behind.map(({ chip, pin }) => `${chip.ref} ${pin}`));
  return (verdict: Demand["verdict"]) => gainBefore(verdict, ({ to }) => names.has(to), gate);
}

function standIn(circuit: Circuit, net: Net, behind: readonly PinRef[], gate: PassingGate): StandIn {
  const maker = new GateMaker(circuit);
  const buffered = freeNetName(
    circuit.nets.map(({ name }) => name),
    net.name,
  );
  maker.pass(gate.part.number, `second driver of ${net.name}`, net.name, buffered);
  const edits = [
    ...maker.edits,
    ...behind.map(({ chip, pin }): Edit => ({ kind: "net", chip: chip.ref, pin, net: buffered })),
  ];
  const refs = [...new Set(behind.map(({ chip }) => chip.ref))].join(", ");
  return {
    key: `${gate.part.number} from ${net.name} to ${refs}`,
    change: {
      what: `${maker.refs.join(", ")}: a gate of a ${gate.part.number} drives ${refs} from ${net.name}`,
      kind: "split load",
      edits: withCapacitors(circuit, edits),
      chips: maker.added,
      promise: 1,
    },
    gain: gainOf(behind, gate),
  };
}
