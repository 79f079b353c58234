import { type Chip, type Circuit, type Net, type PinRef, drivesNet } from "../../circuit/index.js";
import { namesIn, requirementsOf } from "../../parts/index.js";
import type { ChainStep, Verdict } from "../../timing/index.js";

/** An input pin of a chip, not on a rail. */
export interface ControlPin {
  readonly chip: Chip;
  readonly pin: string;
  readonly net: Net;
}

/** Control pins of one verdict. */
const MOST_PINS = 60;

/**
 * The pins at which a verdict may come about: those that it names, those on its chains (`steps`), what enables its drivers, and
 * the inputs of gates and registers before these. What looks wired wrong comes first, then the nearest.
 */
export function controlPins(circuit: Circuit, verdict: Verdict, steps: readonly ChainStep[]): readonly ControlPin[] {
  const found = new Map<string, ControlPin>();
  for (const { chip, pin } of startsOf(circuit, verdict, steps)) {
    const net = chip.nets.get(pin);
    const role = chip.part.behaviour.pins.find(({ name }) => name === pin)?.role;
    if (net && !net.rail && role === "input") found.set(`${chip.ref} ${pin}`, { chip, pin, net });
  }
  return withUpstream([...found.values()]);
}

/** Pins that open outputs of a chip. */
export function enablesOf({ part: { behaviour } }: Chip): readonly string[] {
  const { outputs, memory } = behaviour;
  const expressions = [...outputs.map(({ enable }) => enable), memory?.read];
  return [...new Set(expressions.flatMap((expression) => (expression ? namesIn(expression) : [])))];
}

function startsOf(circuit: Circuit, verdict: Verdict, steps: readonly ChainStep[]): readonly PinRef[] {
  const chips = new Map(circuit.chips.map((chip) => [chip.ref, chip]));
  const { rule, chip: ref, pin, net, reference } = verdict;
  if (ref === "" && net === "") return [...commanded(circuit), ...logicInputs(circuit)];
  // Of what a processor is given and what it meets on its bus, the chips that it commands there are to blame.
  if (rule === "processor") return [...enablesOnBusOf(chips.get(ref)), ...commanded(circuit)];
  const [otherRef = "", otherPin = ""] = reference.split(" ");
  const named: readonly (readonly [string, string])[] = [
    [ref, reference],
    [ref, pin],
    [otherRef, otherPin],
    ...steps.map((step) => [step.chip, step.from] as const),
    ...steps.flatMap((step) => dataPins(chips.get(step.chip), step)),
  ];
  const pins = named.flatMap(([of, name]): readonly PinRef[] => {
    const chip = chips.get(of);
    return chip ? [{ chip, pin: name }] : [];
  });
  // What a processor's times stand for is made by gates that no chain goes through.
  const gates = [...pins.flatMap((one) => one.chip.nets.get(one.pin) ?? []), ...circuit.nets.filter(isNamed(net))];
  const made = gates.filter((one) => !drivesNet(one)).flatMap((one) => one.drivers.flatMap(inputsBefore));
  const enabled = enabledOutputs(chips, verdict).flatMap(({ chip, pin: output }) => {
    const { outputs, memory } = chip.part.behaviour;
    const expression = outputs.find((one) => one.pin === output)?.enable ?? memory?.read;
    return expression ? namesIn(expression).map((name) => ({ chip, pin: name })) : [];
  });
  return [...pins, ...enabled, ...made];
}

function isNamed(name: string) {
  return (net: Net): boolean => net.name === name;
}

/** What opens the chips on a processor's data pins. */
function enablesOnBusOf(processor: Chip | undefined): readonly PinRef[] {
  const data = processor?.part.behaviour.pins.filter(({ role }) => role === "in-out") ?? [];
  const drivers = data.flatMap(({ name }) => processor?.nets.get(name)?.drivers ?? []);
  const chips = new Set(drivers.map(({ chip }) => chip).filter((chip) => chip !== processor));
  return [...chips].flatMap((chip) => enablesOf(chip).map((pin) => ({ chip, pin })));
}

/** Pins at which processors make chips do something at times that are not known. */
function commanded({ chips, masters }: Circuit): readonly PinRef[] {
  return masters.flatMap(({ commands }) =>
    [...commands].flatMap((command) => {
      const [ref = "", pin = ""] = command.split(" ");
      const chip = chips.find((one) => one.ref === ref);
      return chip ? [{ chip, pin }] : [];
    }),
  );
}

/** Where a verdict is about the whole board: what enables outputs, every input of a gate, and data inputs of registers. */
function logicInputs({ chips }: Circuit): readonly PinRef[] {
  return chips.flatMap((chip) => {
    const { behaviour } = chip.part;
    const isGate = behaviour.storage.length === 0 && !behaviour.memory;
    const data = requirementsOf(behaviour).windows.map(({ pin }) => pin);
    const pins = isGate ? behaviour.outputs.flatMap(({ value }) => namesIn(value)) : data;
    return [...new Set([...enablesOf(chip), ...pins])].map((pin) => ({ chip, pin }));
  });
}

/** Outputs that a verdict about two drivers names, and all that drive the net of one that nobody drives. */
function enabledOutputs(chips: ReadonlyMap<string, Chip>, { rule, chip, pin, reference }: Verdict): readonly PinRef[] {
  const [ref = "", other = ""] = reference.split(" ");
  const [one, two] = [chips.get(chip), chips.get(ref)];
  const drivers = rule === "undriven" ? (one?.nets.get(pin)?.drivers ?? []) : [];
  return [...(one ? [{ chip: one, pin }] : []), ...(two ? [{ chip: two, pin: other }] : []), ...drivers];
}

/** Data inputs of the register that an arc from a clock leads out of. */
function dataPins(chip: Chip | undefined, { chip: ref, from, to }: ChainStep): readonly (readonly [string, string])[] {
  const value = chip?.part.behaviour.outputs.find(({ pin }) => pin === to)?.value;
  if (!chip || !value) return [];
  const bits = namesIn(value);
  return requirementsOf(chip.part.behaviour)
    .windows.filter(
      ({ ends, reference, storage }) =>
        ends === "clock" && reference === from && storage.some((bit) => bits.includes(bit)),
    )
    .map(({ pin }) => [ref, pin] as const);
}

/** The same pins and those before them: inputs of the gates and data inputs of the registers that drive their nets. */
function withUpstream(pins: readonly ControlPin[]): readonly ControlPin[] {
  const found = new Map(pins.map((one) => [`${one.chip.ref} ${one.pin}`, one]));
  let ring = pins;
  while (ring.length > 0 && found.size < MOST_PINS) {
    const before = ring.flatMap(({ net }) => net.drivers.flatMap(inputsBefore));
    ring = before.filter((one) => {
      const key = `${one.chip.ref} ${one.pin}`;
      return !one.net.rail && !found.has(key) && found.size < MOST_PINS && found.set(key, one);
    });
  }
  const all = [...found.values()];
  return [...all.filter(isOdd), ...all.filter((one) => !isOdd(one))];
}

/** What an output comes from: inputs of its gate, or data inputs of its register. */
function inputsBefore({ chip, pin }: PinRef): readonly ControlPin[] {
  const { behaviour } = chip.part;
  const value = behaviour.outputs.find((output) => output.pin === pin)?.value;
  const names = value ? namesIn(value) : [];
  const data = requirementsOf(behaviour).windows.filter(
    ({ ends, storage }) => ends === "clock" && storage.some((bit) => names.includes(bit)),
  );
  return [...new Set([...names, ...data.map((window) => window.pin)])].flatMap((name) => {
    const net = chip.nets.get(name);
    return net ? [{ chip, pin: name, net }] : [];
  });
}

/**
 * Likely wired wrong: one net at two inputs of a gate, taken in by two bits of one register or by the bit that gives it, or a
 * chip whose halves are opened by different nets.
 */
function isOdd({ chip, pin, net }: ControlPin): boolean {
  return (
    alike(chip, pin).some((other) => other !== pin && chip.nets.get(other)?.id === net.id) ||
    takesItself(chip, pin, net) ||
    netsOfOtherEnables(chip, pin).length > 0
  );
}

/** Nets at pins that open outputs of a chip, where those of this one are opened by another net. */
export function netsOfOtherEnables(chip: Chip, pin: string): readonly Net[] {
  const enables = enablesOf(chip);
  if (!enables.includes(pin) || chip.part.behaviour.memory) return [];
  const nets = enables.flatMap((other) => chip.nets.get(other) ?? []);
  return [...new Set(nets)].filter((net) => !net.rail && net !== chip.nets.get(pin));
}

/** Inputs of the same gate, or what all registers of the chip take in. */
function alike({ part: { behaviour } }: Chip, pin: string): readonly string[] {
  const data = requirementsOf(behaviour)
    .windows.filter(({ ends }) => ends === "clock")
    .map((window) => window.pin);
  const gates = behaviour.outputs.map(({ value }) => namesIn(value));
  return [data, ...gates].find((pins) => pins.includes(pin)) ?? [];
}

/** Whether a register's bit takes in, or not, what it gives itself. */
function takesItself({ part: { behaviour }, nets }: Chip, pin: string, net: Net): boolean {
  const own = requirementsOf(behaviour).windows.filter((window) => window.pin === pin && window.ends === "clock");
  const bits = own.flatMap(({ storage }) => storage);
  return behaviour.outputs.some(
    (output) => nets.get(output.pin)?.id === net.id && namesIn(output.value).some((name) => bits.includes(name)),
  );
}
