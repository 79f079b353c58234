import { drivesNet } from "../../circuit/index.js";
import { FunctionCode, ModuleWriter } from "../../simulation/compiled/wasm-writer.js";
import { type WasmFunction, type WasmMemory, functionOf, instantiate } from "../../simulation/compiled/web-assembly.js";
import type { NodeId, PinId } from "../board/board.js";
import { type Group, type Instance, drivenPins } from "./group.js";
import { LANES, type LaneMask, allLanes, isAll, isNone } from "./lane-mask.js";
import { CELL_BYTES, type PortPlaces, portCode } from "./memory-code.js";
import {
  type NodeContext,
  type NodeDriver,
  type NodePlan,
  addCode,
  TIMES_SHIFT,
  isOpenTo,
  keepTimeCode,
  nodeCode,
  restCode,
  sampleCode,
} from "./node-code.js";
import { PinReader } from "./pin-code.js";
import { Control, NODE_BYTES, Places, VECTOR_BYTES } from "./places.js";
import { callFlagged, roundsCode } from "./rounds-code.js";
import { type OutputPlace, drive, unitCode } from "./unit-code.js";
import { unitsOf } from "./unit-plan.js";

/** An array of words of one chip in all lanes. */
export interface CellArray {
  readonly instance: Instance;
  readonly cells: number;
  readonly words: number;
  readonly wordBits: number;
}

/** What drives a net from without: an oscillator, or an input. */
export interface Source {
  readonly place: number;
  readonly instance?: Instance;
  /** Of an input from outside. */
  readonly pin?: PinId;
  /** Marks what reads it. */
  readonly word: number;
  readonly bit: number;
}

/** Code for a group of boards, and where everything stands in its memory. */
export interface LaneModule {
  readonly memory: WasmMemory;
  readonly nodes: number;
  readonly plans: readonly NodePlan[];
  readonly bits: readonly { readonly name: string; readonly address: number }[];
  readonly outputs: readonly OutputPlace[];
  readonly arrays: readonly CellArray[];
  readonly oscillators: readonly Source[];
  readonly inputs: readonly Source[];
  /** Words of flags of what is to be worked out. */
  readonly unitFlags: { readonly address: number; readonly count: number };
  readonly nodeFlags: { readonly address: number; readonly count: number };
  readonly restFlags: { readonly address: number; readonly count: number };
  readonly lastClocks: readonly number[];
  readonly slow: readonly { readonly name: string; readonly address: number }[];
  readonly taps: { readonly address: number; readonly bytes: number; readonly count: number };
  /** Turns an oscillator over so many times. */
  readonly run: readonly WasmFunction[];
  /** Works out what is marked. */
  readonly settle: WasmFunction;
}

export interface ModuleOptions {
  /** Nodes of whose rises the times are kept. */
  readonly slowNodes: ReadonlySet<NodeId>;
  readonly highWins: LaneMask;
  /** Samples of the monitor's nets that there is room for. */
  readonly tapSamples: number;
}

/** Compiles a group of boards. */
export function compileGroup(group: Group, { slowNodes, highWins, tapSamples }: ModuleOptions): LaneModule {
  const { board, nodeCount, instances, placements } = group;
  const places = new Places();
  const nodes = places.take(nodeCount * NODE_BYTES);
  const pins = new PinReader(group, places, nodes);
  const carry = places.vector();
  const inputs = board.pins.filter(({ kind }) => kind === "source");
  const units = [...instances.flatMap(unitsOf), ...inputs.map((pin) => pin.id)];
  const wordsOf = (count: number) => Math.ceil(count / 32);
  const unitFlags = { address: places.take(4 * wordsOf(units.length)), count: units.length };
  const lateFlags = { address: places.take(4 * wordsOf(units.length)), count: units.length };
  const restFlags = { address: places.take(4 * wordsOf(nodeCount)), count: nodeCount };
  const nodeFlags = { address: places.take(4 * wordsOf(nodeCount)), count: nodeCount };

  // Outputs, and what they drive in which lanes.
  const driversOf = Array.from({ length: nodeCount }, (): NodeDriver[] => []);
  const allOutputs: OutputPlace[] = [];
  const output = (pin: PinId, alive: LaneMask, mayLetGo: boolean): OutputPlace | undefined => {
    const { node, kind } = board.pins[pin] ?? { node: 0, kind: "chip" };
    const elsewhere = placements.get(pin) ?? [];
    const usual = elsewhere.reduce((mask, { lanes }) => mask.map((word, i) => word & ~(lanes[i] ?? 0)), alive.slice());
    const net = board.circuit.nets[node];
    const isFollowed = kind === "source" || !net || drivesNet(net);
    const found = [
      ...(isFollowed ? [{ node, lanes: usual }] : []),
      ...elsewhere.map((one) => ({ node: one.node, lanes: one.lanes.map((word, i) => word & (alive[i] ?? 0)) })),
    ].filter((one) => !isNone(one.lanes) && one.node !== board.low && one.node !== board.high);
    const driven = found.filter((one) => !board.circuit.nets[one.node]?.rail);
    const place: OutputPlace = {
      value: places.vector(),
      pending: places.vector(),
      ...(mayLetGo && { enable: places.vector() }),
      nodes: [...new Set(driven.map((one) => one.node))],
    };
    allOutputs.push(place);
    for (const one of driven) {
      driversOf[one.node]?.push({ place, ...(!isAll(one.lanes) && { lanes: one.lanes }) });
    }
    return place;
  };

  const readers = Array.from({ length: nodeCount }, () => new Set<number>());
  const lateReaders = Array.from({ length: nodeCount }, () => new Set<number>());
  const nodesOf = (pin: PinId) => [
    board.pins[pin]?.node ?? 0,
    ...(placements.get(pin) ?? []).map((place) => place.node),
  ];
  units.forEach((unit, index) => {
    if (typeof unit === "number") return;
    for (const name of unit.sensitive) {
      const pin = unit.instance.pins.get(name);
      if (pin === undefined) continue;
      for (const node of nodesOf(pin)) (unit.port ? lateReaders : readers)[node]?.add(index);
    }
  });

  const outputsOf = new Map<Instance, Map<string, OutputPlace>>();
  const bitsOf = new Map<Instance, Map<string, number>>();
  const bits: { name: string; address: number }[] = [];
  const arrays: CellArray[] = [];
  for (const instance of instances) {
    const { behaviour, chipIndex } = instance;
    const ref = board.circuit.chips[chipIndex]?.ref ?? "";
    const letsGo = new Set([
      ...behaviour.outputs.filter(({ enable }) => enable).map(({ pin }) => pin),
      ...[behaviour.memory, ...(behaviour.otherPorts ?? [])].flatMap((port) => port?.data ?? []),
      ...(behaviour.clockSource?.enable ? [behaviour.clockSource.pin] : []),
    ]);
    const own = new Map<string, OutputPlace>();
    for (const name of drivenPins(behaviour)) {
      const pin = instance.pins.get(name);
      const place = pin === undefined ? undefined : output(pin, instance.alive, letsGo.has(name));
      if (place) own.set(name, place);
    }
    outputsOf.set(instance, own);
    const held = new Map(behaviour.storage.map(({ name }) => [name, places.vector()]));
    for (const [name, address] of held) bits.push({ name: `${ref} ${name}`, address });
    bitsOf.set(instance, held);
    const { memory } = behaviour;
    if (memory) {
      const words = 2 ** memory.address.length;
      arrays.push({ instance, words, wordBits: memory.data.length, cells: places.take(words * CELL_BYTES) });
    }
  }

  const module = new ModuleWriter();
  const add = module.add(addCode(carry));
  const slow: { name: string; address: number }[] = [];
  const lastClocks: number[] = [];
  const oscillators: Source[] = [];
  const outside: Source[] = [];
  const mark = (code: FunctionCode, address: number, indices: Iterable<number>) => {
    const words = new Map<number, number>();
    for (const index of indices) words.set(index >> 5, (words.get(index >> 5) ?? 0) | (1 << (index & 31)));
    for (const [word, flags] of words) {
      const at = address + 4 * word;
      code.constant(0).constant(0).load(32, at).constant(flags).do("or").store(32, at);
    }
  };
  const unitFunctions = units.map((unit, index) => {
    const isLate = typeof unit !== "number" && unit.port !== undefined;
    const flags = isLate ? lateFlags : unitFlags;
    const slowPlace = places.vector();
    const context = {
      places,
      pins,
      bits: new Map<string, number>(),
      outputs: new Map<string, OutputPlace>(),
      slow: slowPlace,
      lastClocks,
      markNodes: (code: FunctionCode, marked: readonly NodeId[]) => mark(code, nodeFlags.address, marked),
      markUnit: (code: FunctionCode) => mark(code, flags.address, [index]),
    };
    const flag = { word: unitFlags.address + 4 * (index >> 5), bit: index & 31 };
    if (typeof unit === "number") {
      const source = places.vector();
      outside.push({ place: source, pin: unit, ...flag });
      const code = new FunctionCode(0);
      const place = output(unit, allLanes(), false);
      if (place) drive(code, context, place, () => void code.constant(0).loadVector(source));
      return module.add(code.constant(0));
    }
    const { instance } = unit;
    const ref = board.circuit.chips[instance.chipIndex]?.ref ?? "";
    slow.push({ name: `${ref} ${unit.outputs.map(({ pin }) => pin).join(" ")}`, address: slowPlace });
    const own = {
      ...context,
      bits: bitsOf.get(instance) ?? context.bits,
      outputs: outputsOf.get(instance) ?? context.outputs,
    };
    if (unit.port) {
      const array = arrays.find((one) => one.instance === instance);
      const portPlaces: PortPlaces = {
        cells: array?.cells ?? 0,
        address: places.take(32 * VECTOR_BYTES),
        data: places.take(8 * VECTOR_BYTES),
        out: places.take(8 * VECTOR_BYTES),
      };
      return module.add(portCode(unit, unit.port, own, portPlaces));
    }
    if (!unit.clock) return module.add(unitCode(unit, own));
    const source = places.vector();
    oscillators.push({ place: source, instance, ...flag });
    return module.add(unitCode(unit, { ...own, source }));
  });

  const plans = driversOf.flatMap((drivers, node): NodePlan[] =>
    board.circuit.nets[node]?.rail || node === board.low || node === board.high
      ? []
      : [{ node, drivers, ...(slowNodes.has(node) && { times: places.take(LANES << TIMES_SHIFT) }) }],
  );
  const keepTime = module.add(keepTimeCode(carry));
  const nodeContext: NodeContext = { pins, highWins, add, carry, keepTime, markUnits: () => undefined };
  const nodeFunctions = new Map(
    plans.map((plan) => {
      const markUnits = (code: FunctionCode) => {
        mark(code, unitFlags.address, readers[plan.node] ?? []);
        mark(code, lateFlags.address, lateReaders[plan.node] ?? []);
        mark(code, restFlags.address, [plan.node]);
      };
      return [plan.node, module.add(nodeCode(plan, { ...nodeContext, markUnits }))];
    }),
  );
  const settle = roundsCode(module, {
    units: { ...unitFlags, functions: new Map(unitFunctions.map((index, unit) => [unit, index])) },
    late: { ...lateFlags, functions: new Map(unitFunctions.map((index, unit) => [unit, index])) },
    nodes: { ...nodeFlags, functions: nodeFunctions },
  });
  const sample = module.add(
    sampleCode(
      plans.filter((plan) => plan.drivers.length > 0 || isOpenTo(plan)),
      nodeContext,
    ),
  );
  const restFunctions = new Map(plans.map((plan) => [plan.node, module.add(restCode(plan, nodeContext))]));
  const countRises = module.add(callFlagged({ ...restFlags, functions: restFunctions }));
  const monitors = board.pins.filter(({ kind }) => kind === "monitor");
  const taps = places.take(tapSamples * monitors.length * VECTOR_BYTES);
  oscillators.forEach((source, index) => {
    const code = runCode(
      source,
      { settle, sample, countRises },
      (inner) => {
        monitors.forEach((pin, tap) => {
          inner.constant(0).load(32, Control.tapNext);
          pins.read(inner, pin.id);
          inner.storeVector(tap * VECTOR_BYTES);
        });
      },
      monitors.length,
    );
    module.add(code, `run${index}`);
  });
  const memory = places.make();
  const exported = instantiate(module.toBytes(), { host: { memory } });
  return {
    memory,
    nodes,
    plans,
    bits,
    outputs: allOutputs,
    arrays,
    oscillators,
    inputs: outside,
    unitFlags,
    nodeFlags,
    restFlags,
    lastClocks,
    slow,
    taps: { address: taps, bytes: tapSamples * monitors.length * VECTOR_BYTES, count: monitors.length },
    run: oscillators.map((_, index) => functionOf(exported, `run${index}`)),
    settle: functionOf(exported, "settle"),
  };
}

/** Turns an oscillator over as often as the parameter says, lets everything settle, samples, and writes the monitor's nets. */
function runCode(
  { place, word, bit }: Source,
  { settle, sample, countRises }: Readonly<Record<"settle" | "sample" | "countRises", number>>,
  writeTaps: (code: FunctionCode) => void,
  taps: number,
): FunctionCode {
  const code = new FunctionCode(1);
  code.begin("block").begin("loop");
  code.get(0).do("isZero").branchIf(1);
  code.constant(0).constant(0).loadVector(place).vector("not").storeVector(place);
  code
    .constant(0)
    .constant(0)
    .load(32, word)
    .constant(1 << bit)
    .do("or")
    .store(32, word);
  code.constant(0).constant(0).load(32, Control.step).constant(1).do("add").store(32, Control.step);
  code.call(settle).do("drop");
  code.constant(0).load(32, Control.stride).begin("if");
  code.call(countRises).do("drop");
  code.constant(0).constant(0).load(32, Control.untilSample).constant(1).do("subtract").store(32, Control.untilSample);
  code.constant(0).load(32, Control.untilSample).do("isZero").begin("if");
  code.constant(0).constant(0).load(32, Control.stride).store(32, Control.untilSample);
  code.call(sample).do("drop");
  code.do("end").do("end");
  // Of an oscillator that runs alone every second edge is a rise.
  code.constant(0).load(32, Control.step).constant(1).do("and").begin("if");
  code.constant(0).load(32, Control.tapNext).constant(0).load(32, Control.tapEnd).do("lessUnsigned").begin("if");
  writeTaps(code);
  code.constant(0).constant(0).load(32, Control.tapNext);
  code
    .constant(taps * VECTOR_BYTES)
    .do("add")
    .store(32, Control.tapNext);
  code.do("end").do("end");
  code.get(0).constant(1).do("subtract").set(0);
  code.branch(0).do("end").do("end");
  return code.constant(0);
}
