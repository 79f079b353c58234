import type { Chip, Circuit, Net, NetId, PinRef } from "../../circuit/index.js";
import { type Behaviour, namesIn } from "../../parts/index.js";
import { sectionsOf } from "../../timing/index.js";

/** A section of a chip: one gate of four, one flip-flop of two. */
interface Section {
  readonly chip: Chip;
  readonly inputs: readonly string[];
  readonly outputs: readonly string[];
}

/**
 * The part of a circuit that decides what happens at some pins: the sections that they belong to and all that drives those,
 * back to the oscillator. Nothing that is left out leads into it, so what a proof says of these pins is the same if it is told
 * what controls something that is left out; its delays must be those under load already. For `owners` it is only what decides who drives the pins' nets and when. Undefined where most of the circuit would be in it, or where a processor is on the board.
 */
export function coneOf(circuit: Circuit, pins: readonly PinRef[], what: "all" | "owners" = "all"): Circuit | undefined {
  if (circuit.masters.length > 0) return undefined;
  const seeds = new Set(what === "owners" ? pins.flatMap(({ chip, pin }) => chip.nets.get(pin)?.id ?? []) : []);
  const sections = circuit.chips.flatMap((chip) =>
    sectionsOf(chip.part.behaviour).map((one) => sectionOf(chip, one, ({ id }) => seeds.has(id))),
  );
  const driversOf = new Map<NetId, Section[]>();
  for (const section of sections) {
    for (const pin of section.outputs) {
      const net = section.chip.nets.get(pin);
      if (net) driversOf.set(net.id, [...(driversOf.get(net.id) ?? []), section]);
    }
  }
  const wanted = (section: Section) =>
    section.chip.part.oscillation !== undefined ||
    pins.some(
      ({ chip, pin }) => chip.ref === section.chip.ref && [...section.inputs, ...section.outputs].includes(pin),
    );
  const kept = new Set<Section>();
  const todo = sections.filter(wanted);
  const follow = (net: Net | undefined) => {
    if (!net) return;
    todo.push(...(driversOf.get(net.id) ?? []));
    const timing = net.input?.timing;
    if (timing && "net" in timing) follow(circuit.nets[timing.net]);
  };
  for (let section = todo.pop(); section; section = todo.pop()) {
    if (kept.has(section)) continue;
    kept.add(section);
    for (const pin of [...section.inputs, ...section.outputs]) follow(section.chip.nets.get(pin));
  }
  return kept.size > MOST_SECTIONS * sections.length ? undefined : without(circuit, kept);
}

/** A larger share of a circuit's sections costs as much to prove as the whole. */
const MOST_SECTIONS = 0.7;

/** A section; of one that drives a net of which only the owners count, no more than its enables. */
function sectionOf(chip: Chip, behaviour: Behaviour, isOwned: (net: Net) => boolean): Section {
  const { outputs, memory, clockSource, pins } = behaviour;
  const driven = [...outputs.map(({ pin }) => pin), ...(memory?.data ?? []), ...(clockSource ? [clockSource.pin] : [])];
  const drivesOwned = driven.some((pin) => {
    const net = chip.nets.get(pin);
    return net !== undefined && isOwned(net);
  });
  if (drivesOwned) {
    const enables = [...outputs.map(({ enable }) => enable), memory?.read];
    return { chip, inputs: enables.flatMap((enable) => (enable ? namesIn(enable) : [])), outputs: driven };
  }
  const inputs = pins.flatMap(({ name, role }) => (role === "input" || role === "in-out" ? [name] : []));
  return { chip, inputs, outputs: driven };
}

/** The circuit without the sections that are not kept; what they drove is no net of it any more. */
function without(circuit: Circuit, kept: ReadonlySet<Section>): Circuit {
  const pinsOf = new Map<Chip, Set<string>>();
  for (const { chip, inputs, outputs } of kept) {
    const own = pinsOf.get(chip) ?? new Set();
    for (const pin of [...inputs, ...outputs]) own.add(pin);
    pinsOf.set(chip, own);
  }
  const nets = circuit.nets.map((net) => ({ ...net, drivers: [] as PinRef[], receivers: [] as PinRef[] }));
  const chips = circuit.chips.flatMap((chip): readonly Chip[] => {
    const own = pinsOf.get(chip);
    if (!own) return [];
    const left = [...chip.nets].flatMap(([pin, net]): readonly [string, Net][] => {
      const same = nets[net.id];
      return own.has(pin) && same ? [[pin, same]] : [];
    });
    return [{ ...chip, nets: new Map(left) }];
  });
  const chipOf = new Map(chips.map((chip) => [chip.ref, chip]));
  const moved = ({ chip, pin }: PinRef): readonly PinRef[] => {
    const same = chipOf.get(chip.ref);
    return same?.nets.has(pin) ? [{ chip: same, pin }] : [];
  };
  circuit.nets.forEach((net, index) => {
    nets[index]?.drivers.push(...net.drivers.flatMap(moved));
    nets[index]?.receivers.push(...net.receivers.flatMap(moved));
  });
  // Nobody listens to an input of which all receivers are gone, and nothing is to come on a net that nobody looks at.
  const heard = (id: NetId) => (nets[id]?.receivers.length ?? 0) > 0;
  const timedBy = new Set(
    circuit.inputs.flatMap(({ timing, net }) => ("net" in timing && heard(net) ? [timing.net] : [])),
  );
  return {
    ...circuit,
    chips,
    nets,
    inputs: circuit.inputs.filter(({ net }) => heard(net) || timedBy.has(net)),
    toCome: circuit.toCome.filter(heard),
  };
}
