import type { Chip, Circuit } from "../../circuit/index.js";
import {
  type Change as DelayChange,
  type Edge,
  type Part,
  families,
  findPart,
  functionsOf,
  isPartProblem,
} from "../../parts/index.js";
import { fs } from "../../quantity/index.js";
import { withCapacitors } from "./added-chips.js";
import type { Edit } from "./edits.js";
import { type GateCell, gatesOf } from "./gate-cells.js";
import { GateMaker } from "./gate-maker.js";
import { type StandInTimes, conditionsFor, knownDelay } from "./gain.js";
import { freeNetName } from "./register-graph.js";
import { type StandIn, runsFrom, standInOf } from "./stand-in.js";

/** The function of two-input gates that join so. */
const FUNCTION = { "and false": "08", "and true": "00", "or false": "32", "or true": "02" } as const;

/** Gates of two inputs, one behind the other, in the place of one of a chip's gates; the pin that counts comes in last. */
export function splitGates(circuit: Circuit, chip: Chip): readonly StandIn[] {
  const gates = gatesOf(chip.part.behaviour);
  if (!gates || chip.supply.name !== "main") return [];
  return gates
    .filter(({ output, inputs }) => chip.nets.has(output) && inputs.every((pin) => chip.nets.has(pin)))
    .flatMap((gate) => {
      const used = gate.inputs.filter((pin) => !chip.nets.get(pin)?.rail);
      return used.length < 2 || gate.inputs.length < 3
        ? []
        : used.flatMap((last) =>
            families.flatMap((family) =>
              inFamily(circuit, chip, gate, [...used.filter((pin) => pin !== last), last], family),
            ),
          );
    });
}

function inFamily(
  circuit: Circuit,
  chip: Chip,
  gate: GateCell,
  order: readonly string[],
  family: string,
): readonly StandIn[] {
  const parts = order.slice(1).map((_, index) => {
    const isLast = index === order.length - 2;
    const fn = FUNCTION[`${gate.joins} ${isLast && gate.inverts}`];
    if (!functionsOf(family).includes(fn) || !runsFrom(chip, family, fn)) return undefined;
    const part = findPart(`74${family}${fn}`, conditionsFor(circuit, chip));
    return isPartProblem(part) || (!part.package.isDual && chip.part.package.isDual) ? undefined : part;
  });
  if (!parts.every((part): part is Part => part !== undefined)) return [];
  return [standIn(circuit, chip, gate, order, parts)];
}

function standIn(
  circuit: Circuit,
  chip: Chip,
  gate: GateCell,
  order: readonly string[],
  parts: readonly Part[],
): StandIn {
  const net = (pin: string) => chip.nets.get(pin)?.name ?? "open";
  const maker = new GateMaker(circuit);
  const [first = "", ...others] = order.map(net);
  const output = net(gate.output);
  const taken = circuit.nets.map(({ name }) => name);
  let joined = first;
  others.forEach((other, index) => {
    const isLast = index === others.length - 1;
    const name = isLast ? output : freeNetName(taken, output);
    taken.push(name);
    maker.add(parts[index]?.number ?? "", `makes ${output}`, joined, other, name);
    joined = name;
  });
  const rest = gate.inputs.map((pin): Edit => ({ kind: "net", chip: chip.ref, pin, net: "low" }));
  const edits: Edit[] = [...rest, { kind: "net", chip: chip.ref, pin: gate.output, net: "open" }, ...maker.edits];
  const numbers = [...new Set(parts.map(({ number }) => number))].join(" and ");
  const what = `${maker.refs.join(", ")}: ${numbers} in place of ${chip.ref}'s gate at ${gate.output}, ${order.at(-1)} last`;
  return standInOf(
    chip.ref,
    `${numbers} ${gate.output} ${order.at(-1)}`,
    { what, kind: "other pins", edits: withCapacitors(circuit, edits), chips: maker.added, promise: 1 },
    timesOf(chip, gate, order, parts),
  );
}

/** The times of gates one behind the other, by the pins of the one that they stand for. */
function timesOf(chip: Chip, gate: GateCell, order: readonly string[], parts: readonly Part[]): StandInTimes {
  return {
    delay(from, edge, to, change) {
      // Other gates of the chip stay as they are.
      if (to !== gate.output) return knownDelay(chip.part, from, edge, to, change);
      const at = order.indexOf(from);
      if (at < 0) return undefined;
      // The first gate has two of them.
      const way = parts.slice(Math.max(0, at - 1));
      let [min, max] = [0, 0];
      for (const [index, part] of way.entries()) {
        const own = gatesOf(part.behaviour)?.[0];
        const input = own?.inputs[at > 0 && index === 0 ? 1 : 0];
        const isLast = index === way.length - 1;
        const [before, after]: [Edge, DelayChange] = [edge, isLast ? change : edge];
        const delay = own && input !== undefined ? knownDelay(part, input, before, own.output, after) : undefined;
        if (!delay) return undefined;
        min += delay.min;
        max += delay.max;
      }
      return { min: fs(min), max: fs(max) };
    },
    asked: () => undefined,
  };
}
