import type { Chip, Circuit, Net } from "../../circuit/index.js";
import { inNs } from "../../quantity/index.js";
import type { Verdict } from "../../timing/index.js";
import type { Edit } from "./edits.js";
import { type GateCell, gatesOf } from "./gate-cells.js";
import type { StandIn } from "./stand-in.js";

/** A gate of one signal: an inverter, or one whose other inputs are at rest or on the same net. */
interface Passing {
  readonly chip: Chip;
  readonly cell: GateCell;
  readonly input: Net;
  readonly output: Net;
}

/** All that reads a net put on the same signal before the gates that only pass it on: one buffer, or two inverters. */
export function nearerSources({ chips }: Circuit, chip: Chip): readonly StandIn[] {
  const passing = chips.flatMap(passingGates);
  return passingGates(chip).flatMap((last) => {
    if (last.output.receivers.length === 0) return [];
    if (!last.cell.inverts) return [standIn([last])];
    const before = passing.find(({ output }) => output.id === last.input.id);
    return before?.cell.inverts ? [standIn([before, last])] : [];
  });
}

function passingGates(chip: Chip): readonly Passing[] {
  return (gatesOf(chip.part.behaviour) ?? []).flatMap((cell) => {
    const [output, inputs] = [chip.nets.get(cell.output), cell.inputs.map((pin) => chip.nets.get(pin))];
    const live = [...new Set(inputs.filter((net) => net && !net.rail))];
    const [input] = live;
    const rest = cell.joins === "and" ? "high" : "low";
    const isFree = inputs.every((net) => net && (net === input || net.rail === rest));
    return output && input && live.length === 1 && isFree && output.drivers.length === 1
      ? [{ chip, cell, input, output }]
      : [];
  });
}

function standIn(way: readonly Passing[]): StandIn {
  const [first, last] = [way[0], way.at(-1)];
  if (!first || !last) throw new RangeError("no gate to go round");
  const [net, source] = [last.output, first.input];
  const edits = net.receivers.map(({ chip, pin }): Edit => ({ kind: "net", chip: chip.ref, pin, net: source.name }));
  return {
    key: `${source.name} for ${net.name}`,
    change: {
      what: `all that is on ${net.name}: ${source.name} in place of ${net.name}`,
      kind: "whole net",
      edits,
      chips: 0,
      promise: 1,
    },
    gain: (verdict) => gainWithout(verdict, way),
  };
}

/** What a margin gains where the gates that a chain goes through one after the other are left out, with the wires between. */
function gainWithout({ chains }: Verdict, way: readonly Passing[]): number {
  let gain = 0;
  for (const chain of chains ? [chains.earlier, chains.later] : []) {
    const arcs = chain.filter(({ kind }) => kind === "arc");
    arcs.forEach((_, at) => {
      const own = arcs.slice(at, at + way.length);
      const isWay = way.every(
        ({ chip, cell }, index) => own[index]?.chip === chip.ref && own[index].to === cell.output,
      );
      if (!isWay) return;
      for (const step of own) {
        if (!step.cancelled) gain += step.used === "max" ? inNs(step.max) : -inNs(step.min);
      }
    });
  }
  return gain;
}
