import type { Chip, Circuit } from "../../circuit/index.js";
import type { Change as DelayChange } from "../../parts/index.js";
import type { ChainStep, Verdict } from "../../timing/index.js";
import { withCapacitors } from "./added-chips.js";
import { GateMaker } from "./gate-maker.js";
import { type PassingGate, passingGates } from "./passing-gates.js";
import { freeNetName } from "./register-graph.js";
import type { StandIn } from "./stand-in.js";

/** A gate before a pin, which holds up what comes to it: where something is over too soon. */
export function delayingGates(circuit: Circuit, chip: Chip, pin: string): readonly StandIn[] {
  const net = chip.nets.get(pin);
  if (!net || net.rail || chip.supply.name !== "main") return [];
  return passingGates(circuit, chip).map((gate): StandIn => {
    const maker = new GateMaker(circuit);
    const late = freeNetName(
      circuit.nets.map(({ name }) => name),
      net.name,
    );
    maker.pass(gate.part.number, `holds up ${net.name}`, net.name, late);
    const edits = [...maker.edits, { kind: "net", chip: chip.ref, pin, net: late } as const];
    return {
      key: gate.part.number,
      change: {
        what: `${maker.refs.join(", ")}: a gate of a ${gate.part.number} before ${chip.ref} ${pin}, which holds up ${net.name}`,
        kind: "delay",
        edits: withCapacitors(circuit, edits),
        chips: maker.added,
        promise: 1,
      },
      gain: (verdict) => gainBefore(verdict, (step) => step.to === `${chip.ref} ${pin}`, gate),
    };
  });
}

/** What a margin gains where one gate comes before some pins, by the wires to them. */
export function gainBefore(
  { rule, chains }: Pick<Verdict, "rule" | "chains">,
  isBehind: (wire: ChainStep) => boolean,
  gate: PassingGate,
): number {
  const [earlier, later] = [chains?.earlier, chains?.later].map((chain = []) => passed(chain, isBehind));
  if (!chains || !earlier || !later) return 0;
  // A width begins with one edge of the gate and ends with the other.
  if (rule === "pulse width") return earlier.length + later.length > 0 ? gate.least - gate.most : 0;
  const { earlier: from, later: to } = chains.between;
  // Where both ways go through it with the same edge, it has the same delay.
  const isSame = ({ change }: Passed, other: Passed) => (change ?? from.edge) === (other.change ?? to.edge);
  const shared = earlier.findIndex((step, at) => !later[at] || !isSame(step, later[at]));
  const count = shared < 0 ? earlier.length : shared;
  return [...earlier.slice(count), ...later.slice(count)].reduce(
    (sum, { wire }) => sum + (wire.used === "max" ? -gate.most : gate.least),
    0,
  );
}

/** A wire on a way, and what changes on it; absent where the way begins with it. */
interface Passed {
  readonly wire: ChainStep;
  readonly change?: DelayChange;
}

function passed(chain: readonly ChainStep[], isBehind: (wire: ChainStep) => boolean): readonly Passed[] {
  return chain.flatMap((wire, at): readonly Passed[] => {
    const change = chain[at - 1]?.change;
    return wire.kind === "wire" && isBehind(wire) ? [{ wire, ...(change && { change }) }] : [];
  });
}
