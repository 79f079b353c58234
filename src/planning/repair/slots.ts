import type { Chip, Circuit } from "../../circuit/index.js";
import { bufferedNets } from "./buffered-net.js";
import type { Slot } from "./choose-together.js";
import { delayingGates } from "./delaying-gates.js";
import { type Demand, RESERVE_NS, foreseen } from "./demands.js";
import { inputLimits } from "./input-limits.js";
import { nearerSources } from "./nearer-source.js";
import { otherFlipFlops } from "./other-flip-flops.js";
import { splitGates } from "./split-gates.js";
import { type StandIn, samePins } from "./stand-in.js";

/** A slot, and how its stand-ins are found again in a circuit in which others were changed meanwhile. */
export interface OpenSlot extends Slot {
  again(circuit: Circuit, chip: Chip): readonly StandIn[];
}

/** All chips in whose place something else may stand. */
export function chipSlots(circuit: Circuit): readonly OpenSlot[] {
  return circuit.chips
    .map((chip) => slot(circuit, chip, chip.ref, inPlaceOf))
    .filter(({ standIns }) => standIns.length > 0);
}

/** Places where a gate may come between: pins that something reaches too soon, drivers with too much load. */
export function gateSlots(circuit: Circuit, demands: readonly Demand[]): readonly OpenSlot[] {
  const hurried = hurriedPins(circuit, demands);
  return circuit.chips
    .flatMap((chip) => [
      ...[...chip.nets.keys()]
        .filter((pin) => hurried.has(`${chip.ref} ${pin}`))
        .map((pin) => slot(circuit, chip, `${chip.ref} ${pin}`, (one, own) => delayingGates(one, own, pin))),
      slot(circuit, chip, `load of ${chip.ref}`, (one, own) => bufferedNets(one, own, demands, inputLimits(one))),
    ])
    .filter(({ standIns }) => standIns.length > 0);
}

function slot(circuit: Circuit, chip: Chip, place: string, again: OpenSlot["again"]): OpenSlot {
  return { place, chip, standIns: again(circuit, chip), again };
}

function inPlaceOf(circuit: Circuit, chip: Chip): readonly StandIn[] {
  return [
    ...samePins(circuit, chip),
    ...otherFlipFlops(circuit, chip),
    ...splitGates(circuit, chip),
    ...nearerSources(circuit, chip),
  ];
}

/** Pins on the ways whose shortest delays leave too little: `U25 OE#`. */
function hurriedPins(circuit: Circuit, demands: readonly Demand[]): ReadonlySet<string> {
  const short = demands.filter((demand) => foreseen(demand, circuit) < RESERVE_NS);
  const wires = short.flatMap(({ verdict: { chains } }) =>
    [...(chains?.earlier ?? []), ...(chains?.later ?? [])].filter(
      ({ kind, used, cancelled }) => kind === "wire" && used === "min" && !cancelled,
    ),
  );
  return new Set(wires.map(({ to }) => to));
}
