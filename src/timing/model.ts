import { fs } from "../quantity/index.js";
import {
  type Chip,
  type Circuit,
  type ExternalInput,
  type Net,
  boardOscillators,
  drivesNet,
  drivingOf,
  isCommanded,
} from "../circuit/index.js";
import type { Behaviour, Edge } from "../parts/index.js";
import { buildChip } from "./chip-model.js";
import type { Logic } from "./compiled-logic.js";
import { type Control, type Dependents, carriesData, findControl, findDependents } from "./control.js";
import { findDeciding } from "./deciding.js";
import { sectionsOf } from "./sections.js";
import { Delays } from "./delays.js";
import { type Loop, loopsOf } from "./feedback.js";
import { EITHER, HIGH, LOW, type LevelSet } from "./level-set.js";
import { outsideRoot } from "./roots.js";
import { TimeLine, type TimeLineOptions } from "./time-line.js";

/** Index of a piece of state: the wave of a driver or of a shared net, a chip's storage, an outside signal. */
export type CellId = number;

/** An output pin and what it shows. Memory outputs show data of unknown value. */
export interface OutputModel {
  readonly cell: CellId;
  readonly pin: string;
  readonly net: NetModel;
  readonly value: Logic | "memory";
  readonly enable: Logic | undefined;
  /** Every slot that value or enable read; of a memory also its address. */
  readonly slots: ReadonlySet<number>;
  /** Position of the section's first output with the same value and enable: what changes one changes the other. */
  readonly alike: number;
}

export interface OverrideModel {
  readonly when: Logic;
  readonly value: Logic;
}

export interface StorageModel {
  readonly name: string;
  readonly slot: number;
  /** Index of this bit in the chip's storage. */
  readonly bit: number;
  readonly kind: "register" | "latch";
  /** Index in `ChipModel.gates` of the clock or the latch enable. */
  readonly gate: number;
  readonly next: Logic;
  readonly overrides: readonly OverrideModel[];
  /** Slots whose level alone can change the bit: overrides, and enable and data of a latch. */
  readonly levelSlots: ReadonlySet<number>;
  /** Those and the clock's. */
  readonly controlSlots: ReadonlySet<number>;
}

/** A clock, latch enable or write strobe inside a chip: the condition whose edges capture. */
export interface GateModel {
  readonly logic: Logic;
  readonly kind: "clock" | "latch enable" | "write";
  readonly bits: readonly StorageModel[];
}

export interface PinModel {
  readonly slot: number;
  readonly name: string;
  readonly net: NetModel;
  /** What the pin controls, in the trade's words; empty for plain data. */
  uses: readonly PinUse[];
  /** Whether a change at the pin can at once change storage or an output. */
  readonly acts: boolean;
  /** Whether the pin is captured by a clock, a latch or a write. */
  readonly isCaptured: boolean;
}
export type PinUse = "clock" | "latch enable" | "latch input" | "asynchronous" | "output enable" | "write strobe";

/** One of the independent sections of a chip: one gate of four, one flip-flop of two. */
export interface ChipModel {
  readonly index: number;
  readonly chip: Chip;
  /** The cell that holds its storage. */
  readonly cell: CellId;
  /** Input pins that are on nets which can change, first slots first. */
  readonly pins: PinModel[];
  readonly slotNames: readonly string[];
  /** Level of pins on rails, open pins, or nets that never change; by slot, 0 for signals that can. */
  readonly fixed: LevelSet[];
  readonly storage: readonly StorageModel[];
  readonly gates: readonly GateModel[];
  readonly outputs: readonly OutputModel[];
  readonly memory:
    | { readonly address: readonly number[]; readonly data: readonly number[]; readonly selects: readonly number[] }
    | undefined;
}

export interface NetModel {
  readonly net: Net;
  /** The cell whose wave the receivers see: the only driver's, or the shared net's own. -1 where nothing drives. */
  wave: CellId;
  readonly drivers: { readonly cell: CellId; readonly chip: ChipModel; readonly output: OutputModel }[];
  readonly receivers: { readonly chip: ChipModel; readonly pin: PinModel }[];
}

export interface OutsideModel {
  readonly input: ExternalInput;
  readonly cell: CellId;
  readonly net: NetModel;
  /** The edges that the circuit answers to: one only where every receiver is a clock of that edge. */
  readonly edges: readonly Edge[];
}

/** The circuit as the proof sees it: numbered cells, compiled logic, delay variables made as they are needed. */
export interface Model {
  readonly circuit: Circuit;
  readonly time: TimeLine;
  readonly chips: readonly ChipModel[];
  readonly nets: readonly NetModel[];
  readonly outside: readonly OutsideModel[];
  readonly cellCount: number;
  readonly dependents: Dependents;
  /** Loops of gates without storage. */
  readonly loops: readonly Loop[];
  readonly control: Control;
  /** Storage bits, as `section|slot`, whose levels are followed one by one. */
  readonly deciding: ReadonlySet<string>;
  readonly oscillator: { readonly cell: CellId; readonly net: NetModel };
  /**
   * Edges that may come at any time are followed in steps of so many ticks, each anywhere within its step: wider steps mean
   * fewer states and wider windows. 0: they are taken as quiet, and what is proved leaves out their effects.
   */
  readonly outsideStepTicks: number;
  /**
   * After so many ticks such a signal may change again, though its least times be longer: what nobody counts down to leads to
   * no states. Infinity where least times are followed in full.
   */
  readonly outsideMemoryTicks: number;
  /** States at one time in which signals from outside may leave the circuit before that is given up. */
  readonly mostOutsideStates: number;
  /** What each cell is, by cell. */
  readonly cells: readonly CellModel[];
  /** Figures that were asked for and that no sheet on record gives. */
  readonly missing: Set<string>;
  readonly delays: Delays;
  /** Cells that are not followed, because another bit of a bus tells all of them; absent where all are. */
  readonly leftOut?: ReadonlySet<CellId>;
}

export type CellModel =
  | { readonly kind: "driver"; readonly chip: ChipModel; readonly output: OutputModel }
  | { readonly kind: "shared net"; readonly net: NetModel }
  | { readonly kind: "chip"; readonly chip: ChipModel }
  | { readonly kind: "outside"; readonly net: NetModel; readonly input: ExternalInput };

/** The step of outside edges that is tried first. */
export const FINEST_OUTSIDE_STEP_TICKS = 4;

const MOST_OUTSIDE_STATES = 600;

interface ModelOptions extends Pick<TimeLineOptions, "keepsTicksApart"> {
  readonly mostStates?: number;
  /** Nets that control something outside of the circuit, which is a part of another. */
  readonly control?: ReadonlySet<number> | undefined;
}

/** Builds the model. Throws RangeError when the circuit has not exactly one oscillator. */
export function buildModel(
  circuit: Circuit,
  outsideStepTicks = FINEST_OUTSIDE_STEP_TICKS,
  outsideMemoryTicks = Infinity,
  { mostStates = MOST_OUTSIDE_STATES, control: known, ...options }: ModelOptions = {},
): Model {
  const cans = boardOscillators(circuit);
  const oscillation = cans[0]?.part.oscillation;
  if (cans.length !== 1 || !oscillation) {
    throw new RangeError(`the proof needs exactly one oscillator; the circuit has ${cans.length}`);
  }
  const time = new TimeLine(oscillation.period, oscillation.duty, {
    ...options,
    outsideStepTicks: Math.max(1, outsideStepTicks),
  });
  const cells: CellModel[] = [];
  const missing = new Set<string>();
  const nets: NetModel[] = circuit.nets.map((net) => ({ net, wave: -1, drivers: [], receivers: [] }));
  const netOf = (net: Net): NetModel => {
    const model = nets[net.id];
    if (!model) throw new RangeError(`net ${net.name} is not in the circuit`);
    return model;
  };
  const chips: ChipModel[] = [];
  const sections = circuit.chips.flatMap((chip) =>
    sectionsOf(chip.part.behaviour)
      .filter((section) => !isCommanded(circuit, chip, section) && !isCutOff(chip, section))
      .map((section) => ({ chip, section })),
  );
  const driven = new Set(
    sections.flatMap(({ chip, section }) =>
      drivenPins(section).flatMap((pin) => (drivingOf({ chip, pin }) === "never" ? [] : (chip.nets.get(pin) ?? []))),
    ),
  );
  const isDriven = (net: Net) => net.input !== undefined || driven.has(net);
  for (const { chip, section } of sections) {
    chips.push(buildChip(chip, section, chips.length, netOf, isDriven, cells));
  }

  for (const net of nets) {
    const only = net.drivers[0];
    const isShared = net.drivers.length > 1;
    if (isShared) net.wave = cells.push({ kind: "shared net", net }) - 1;
    else if (only) net.wave = only.cell;
  }
  const outside: OutsideModel[] = circuit.inputs.map((input) => {
    const net = nets[input.net];
    if (!net) throw new RangeError(`no net ${input.net}`);
    const cell = cells.push({ kind: "outside", net, input }) - 1;
    if (net.wave < 0) net.wave = cell;
    return { input, cell, net, edges: answeredEdges(net, circuit.inputs) };
  });

  outside.forEach(({ input: { timing }, edges }, index) => {
    if (timing.kind !== "any time") return;
    const [rise, fall] = [outsideRoot(index, "rise"), outsideRoot(index, "fall")];
    const repeat =
      edges.length > 1 ? timing.leastRepeat : Math.max(timing.leastRepeat, timing.leastHigh + timing.leastLow);
    time.stateOutsideGap(rise, rise, fs(repeat));
    time.stateOutsideGap(fall, fall, fs(repeat));
    time.stateOutsideGap(rise, fall, timing.leastHigh);
    time.stateOutsideGap(fall, rise, timing.leastLow);
  });

  const can = chips.find((chip) => chip.chip === cans[0]);
  const out = can?.outputs[0];
  if (!can || !out) throw new RangeError("the oscillator drives no net");

  const dependents = findDependents({ circuit, chips, outside });
  const loops = loopsOf(chips);
  cutLoops(loops);
  for (const { chip, pin: inner } of loops.flatMap(({ outputs, isLatch }) => (isLatch ? outputs : []))) {
    for (const pin of chip.pins) if (pin !== inner) pin.uses = [...pin.uses, "latch input"];
  }
  const control = findControl({ circuit, chips, outside, loops }, known);
  const isData = (net: NetModel) => carriesData({ dependents, control }, net);
  const delays = new Delays(circuit, time, cells, isData, missing);
  return {
    circuit,
    time,
    chips,
    nets,
    outside,
    cells,
    cellCount: cells.length,
    oscillator: { cell: out.cell, net: out.net },
    missing,
    dependents,
    loops,
    control,
    deciding: findDeciding({ chips, nets, outside }),
    outsideStepTicks,
    outsideMemoryTicks,
    mostOutsideStates: mostStates,
    delays,
  };
}

/** Every pin that a section can drive. */
function drivenPins({ outputs, memory, clockSource }: Behaviour): readonly string[] {
  return [...outputs.map(({ pin }) => pin), ...(memory?.data ?? []), ...(clockSource ? [clockSource.pin] : [])];
}

/** Whether all that a section does is told by the times that a processor gives: a gate of its strobe, what it only reads. */
function isCutOff(chip: Chip, section: Behaviour): boolean {
  if (section.storage.length > 0 || section.memory?.write) return false;
  const nets = drivenPins(section).flatMap((pin) => chip.nets.get(pin) ?? []);
  return nets.length > 0 && nets.every((net) => !drivesNet(net));
}

/** The edges of a net that can do anything at its receivers or that other outside signals are timed against. */
function answeredEdges(net: NetModel, inputs: readonly ExternalInput[]): readonly Edge[] {
  const edges = new Set<Edge>();
  for (const { timing } of inputs) if ("net" in timing && timing.net === net.net.id) edges.add(timing.edge);
  for (const { chip, pin } of net.receivers) {
    const isClockOnly =
      pin.uses.every((use) => use === "clock") &&
      !pin.isCaptured &&
      chip.outputs.every((out) => !out.slots.has(pin.slot));
    for (const gate of isClockOnly ? chip.gates : []) {
      if (!gate.logic.slots.includes(pin.slot)) continue;
      const at = (level: LevelSet) => gate.logic.possible((slot) => (slot === pin.slot ? level : EITHER));
      if (at(LOW) !== HIGH && at(HIGH) !== LOW) edges.add("rise");
      if (at(HIGH) !== HIGH && at(LOW) !== LOW) edges.add("fall");
    }
    if (!isClockOnly) return ["rise", "fall"];
  }
  return [...edges];
}

/** Takes what comes back through gates that are no latch for unknown and unchanging: nothing can be told of it. */
function cutLoops(loops: readonly Loop[]): void {
  for (const { chip, pin } of loops.flatMap(({ outputs, isLatch }) => (isLatch ? [] : outputs))) {
    chip.fixed[pin.slot] = EITHER;
    chip.pins.splice(chip.pins.indexOf(pin), 1);
    pin.net.receivers.splice(
      pin.net.receivers.findIndex((receiver) => receiver.pin === pin),
      1,
    );
  }
}
