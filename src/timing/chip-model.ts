import { type Chip, type Net, drivesNet } from "../circuit/index.js";
import { type Behaviour, type Expression, namesIn } from "../parts/index.js";
import { type Logic, compileLogic } from "./compiled-logic.js";
import { EITHER, HIGH, LOW, type LevelSet } from "./level-set.js";
import type {
  CellModel,
  ChipModel,
  GateModel,
  NetModel,
  OutputModel,
  PinModel,
  PinUse,
  StorageModel,
} from "./model.js";

/** Builds one section of a chip, adds its cells, and enters its pins in their nets. `isDriven` tells of nets that can change. */
export function buildChip(
  chip: Chip,
  behaviour: Behaviour,
  index: number,
  netOf: (net: Net) => NetModel,
  isDriven: (net: Net) => boolean,
  cells: CellModel[],
): ChipModel {
  const slotNames: string[] = [];
  const slots = new Map<string, number>();
  for (const pin of behaviour.pins) {
    if (pin.role === "input" || pin.role === "in-out") slots.set(pin.name, slotNames.push(pin.name) - 1);
  }
  for (const bit of behaviour.storage) slots.set(bit.name, slotNames.push(bit.name) - 1);
  const slotOf = (name: string): number => {
    const slot = slots.get(name);
    if (slot === undefined) throw new RangeError(`${behaviour.function}: no pin or storage bit ${name}`);
    return slot;
  };
  const compiled = new Map<string, Logic>();
  const compile = (expression: Expression): Logic => {
    const key = JSON.stringify(expression);
    const logic = compiled.get(key) ?? compileLogic(expression, slotOf);
    compiled.set(key, logic);
    return logic;
  };

  const gates: (Omit<GateModel, "bits"> & { bits: StorageModel[] })[] = [];
  const gateKeys = new Map<string, number>();
  const gateOf = (expression: Expression, kind: GateModel["kind"]): number => {
    const key = `${kind} ${JSON.stringify(expression)}`;
    const known = gateKeys.get(key);
    if (known !== undefined) return known;
    const made = gates.push({ logic: compile(expression), kind, bits: [] }) - 1;
    gateKeys.set(key, made);
    return made;
  };
  const storage = behaviour.storage.map((bit, position): StorageModel => {
    const gate = bit.kind === "register" ? gateOf(bit.clock, "clock") : gateOf(bit.open, "latch enable");
    const next = compile(bit.next);
    const overrides = bit.overrides.map(({ when, value }) => ({ when: compile(when), value: compile(value) }));
    const gateSlots = gates[gate]?.logic.slots ?? [];
    const levelSlots = new Set([
      ...overrides.flatMap(({ when, value }) => [...when.slots, ...value.slots]),
      ...(bit.kind === "latch" ? [...gateSlots, ...next.slots] : []),
    ]);
    const controlSlots = new Set([...levelSlots, ...gateSlots]);
    const slot = slotOf(bit.name);
    const name = bit.name;
    const model = { name, slot, bit: position, kind: bit.kind, gate, next, overrides, levelSlots, controlSlots };
    gates[gate]?.bits.push(model);
    return model;
  });
  if (behaviour.memory?.write) gateOf(behaviour.memory.write, "write");

  const cell = cells.length;
  const pins: PinModel[] = [];
  const outputs: OutputModel[] = [];
  const memory = behaviour.memory;
  // The data pins of a memory that is only read are outputs, which nothing looks at.
  const dataInputs = memory?.write ? memory.data : [];
  const model: ChipModel = {
    index,
    chip,
    cell,
    pins,
    slotNames,
    fixed: slotNames.map((name) =>
      fixedLevel(
        chip,
        name,
        behaviour.storage.some((bit) => bit.name === name),
        isDriven,
      ),
    ),
    storage,
    gates,
    outputs,
    memory: memory && {
      address: memory.address.map(slotOf),
      data: dataInputs.map(slotOf),
      selects: namesIn(memory.read).map(slotOf),
    },
  };
  cells.push({ kind: "chip", chip: model });

  const uses = pinUses(behaviour);
  const slotsOf = (...expressions: readonly (Expression | undefined)[]): number[] =>
    expressions.flatMap((expression) => (expression ? namesIn(expression).map(slotOf) : []));
  const memorySlots = memory ? [...memory.address, ...dataInputs].map(slotOf) : [];
  const acting = new Set([
    ...storage.flatMap((bit) => [...bit.controlSlots]),
    ...behaviour.outputs.flatMap((output) => slotsOf(output.value, output.enable)),
    ...slotsOf(memory?.read, memory?.write),
    ...(memory?.address.map(slotOf) ?? []),
  ]);
  const captured = new Set([...storage.flatMap((bit) => bit.next.slots), ...memorySlots, ...slotsOf(memory?.write)]);
  for (const pin of behaviour.pins) {
    const net = chip.nets.get(pin.name);
    if (!net) continue;
    const netModel = netOf(net);
    if ((pin.role === "input" || pin.role === "in-out") && model.fixed[slotOf(pin.name)] === 0) {
      const slot = slotOf(pin.name);
      const pinModel: PinModel = {
        slot,
        name: pin.name,
        net: netModel,
        uses: uses.get(pin.name) ?? [],
        acts: acting.has(slot),
        isCaptured: captured.has(slot),
      };
      pins.push(pinModel);
      netModel.receivers.push({ chip: model, pin: pinModel });
    }
  }
  const addOutput = (pin: string, value: Logic | "memory", enable: Logic | undefined) => {
    const net = chip.nets.get(pin);
    // An output that is switched off for good is not there.
    if (!net || !drivesNet(net) || enable?.possible((slot) => model.fixed[slot] || EITHER) === LOW) return;
    const slots = new Set([
      ...(value === "memory" ? (memory?.address.map(slotOf) ?? []) : value.slots),
      ...(enable?.slots ?? []),
    ]);
    const first = outputs.findIndex((other) => other.value === value && other.enable === enable);
    const alike = first < 0 ? outputs.length : first;
    const output: OutputModel = { cell: cells.length, pin, net: netOf(net), value, enable, slots, alike };
    cells.push({ kind: "driver", chip: model, output });
    outputs.push(output);
    output.net.drivers.push({ cell: output.cell, chip: model, output });
  };
  for (const output of behaviour.outputs) {
    addOutput(output.pin, compile(output.value), output.enable && compile(output.enable));
  }
  if (memory) for (const pin of memory.data) addOutput(pin, "memory", compile(memory.read));
  if (behaviour.clockSource) addOutput(behaviour.clockSource.pin, compile({ kind: "constant", value: 0 }), undefined);
  return model;
}

function fixedLevel(chip: Chip, name: string, isStorage: boolean, isDriven: (net: Net) => boolean): LevelSet {
  if (isStorage) return 0;
  const net = chip.nets.get(name);
  if (!net) return EITHER;
  if (net.rail) return net.rail === "high" ? HIGH : LOW;
  if (!isDriven(net)) return EITHER;
  if (net.input?.timing.kind === "power-up only") return net.input.timing.active === "low" ? HIGH : LOW;
  return 0;
}

/** Which pins of a chip are clocks, enables, strobes or asynchronous inputs; the rest are data. */
function pinUses(behaviour: Behaviour): Map<string, PinUse[]> {
  const uses = new Map<string, PinUse[]>();
  const note = (expression: Expression, use: PinUse) => {
    for (const name of namesIn(expression)) {
      const known = uses.get(name) ?? [];
      if (!known.includes(use)) uses.set(name, [...known, use]);
    }
  };
  for (const bit of behaviour.storage) {
    if (bit.kind === "register") note(bit.clock, "clock");
    else note(bit.open, "latch enable");
    for (const { when } of bit.overrides) note(when, "asynchronous");
  }
  for (const output of behaviour.outputs) if (output.enable) note(output.enable, "output enable");
  if (behaviour.memory) {
    if (behaviour.memory.write) note(behaviour.memory.write, "write strobe");
  }
  return uses;
}
