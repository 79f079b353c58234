import type { Chip, Circuit, Net, PinRef } from "../../circuit/index.js";
import { namesIn } from "../../parts/index.js";
import type { Verdict } from "../../timing/index.js";
import type { Change } from "./change.js";
import { enablesOf } from "./control-pins.js";
import type { Edit } from "./edits.js";
import { type RegisterGraph, turnedNetName } from "./register-graph.js";

/** Nets tried in the place of one enable. */
const MOST = 16;

/** An output of a register that nobody reads yet, and the name that its net is to have. */
interface Spare {
  readonly chip: Chip;
  readonly pin: string;
  readonly name: string;
}

/**
 * All outputs that one enable opens put on another one together, a tap before or behind or an output beside it that is open so
 * far: where owners of a wire meet, one of them has to come later or go sooner as a whole.
 */
export function wholeEnables(
  circuit: Circuit,
  graph: RegisterGraph,
  { rule, chip, reference }: Verdict,
): readonly Change[] {
  if (rule !== "contention") return [];
  const refs = [chip, reference.split(" ")[0] ?? ""];
  const nets = circuit.chips
    .filter(({ ref }) => refs.includes(ref))
    .flatMap((one) => enablesOf(one).flatMap((pin) => one.nets.get(pin) ?? []));
  return [...new Set(nets)]
    .filter(({ rail }) => !rail)
    .flatMap((net) => {
      const readers = net.receivers.filter(({ chip: one, pin }) => enablesOf(one).includes(pin));
      const near = graph.near(net, MOST);
      const spare = sparesBeside(circuit, [net, ...near]).map(({ chip: of, pin, name }, index): Change => ({
        ...moved(net, name, readers, 1.95 - index / 20),
        edits: [{ kind: "net", chip: of.ref, pin, net: name }, ...onto(readers, name)],
      }));
      return readers.length < 2
        ? spare
        : [...spare, ...near.map((other, index) => moved(net, other.name, readers, 1.85 - index / 20))];
    });
}

function moved(net: Net, name: string, readers: readonly PinRef[], promise: number): Change {
  const refs = [...new Set(readers.map(({ chip }) => chip.ref))].join(", ");
  return {
    what: `the enables of ${refs}: ${name} in place of ${net.name}`,
    kind: "whole net",
    edits: onto(readers, name),
    chips: 0,
    promise,
  };
}

function onto(readers: readonly PinRef[], net: string): readonly Edit[] {
  return readers.map(({ chip, pin }): Edit => ({ kind: "net", chip: chip.ref, pin, net }));
}

/** Outputs that are open, of the bits of registers that drive one of some nets: the same turned over. */
function sparesBeside(circuit: Circuit, nets: readonly Net[]): readonly Spare[] {
  const taken = circuit.nets.map(({ name }) => name);
  return nets.flatMap(({ name: beside, drivers }) =>
    drivers.flatMap(({ chip, pin }) => {
      const { outputs, storage } = chip.part.behaviour;
      const value = outputs.find((output) => output.pin === pin)?.value;
      const bits = value ? namesIn(value).filter((name) => storage.some((bit) => bit.name === name)) : [];
      return outputs
        .filter((output) => chip.open.has(output.pin) && namesIn(output.value).some((name) => bits.includes(name)))
        .map((output): Spare => ({ chip, pin: output.pin, name: turnedNetName(taken, beside) }));
    }),
  );
}
