import { type Fs, fs } from "../quantity/index.js";
import type { Verdict } from "../timing/index.js";
import { LOW } from "../timing/level-set.js";
import type { Model, NetModel } from "../timing/model.js";
import { trace } from "../timing/trace.js";
import { busName } from "./bus-name.js";
import { type BusOwner, busOwners, drivesAt } from "./bus-owners.js";
import { cycleBrackets } from "./cycle-brackets.js";
import type { CycleDrawing } from "./cycle-drawing.js";
import type { Stretch } from "./lane-pieces.js";
import { capturesOf, memoryCircuit, type MemoryCircuit } from "./memory-circuit.js";
import { busLane, netLane, ownerLane } from "./memory-lanes.js";
import { TracedWaves } from "./traced-waves.js";

/** Oscillator periods that are traced: a dozen cycles of eight dots at half the oscillator's rate. */
const TRACED_TICKS = 200;
/** Outside signals keep quiet until the circuit runs; then they change as soon and as often as they may. */
const QUIET_TICKS = 20;

/**
 * One whole memory cycle of a circuit with one memory, if possible one in which the screen reads and the processor writes.
 * The proof's verdicts on the memory are put to it as brackets. Undefined where nothing about a memory repeats.
 */
export function memoryCycle(model: Model, verdicts: readonly Verdict[] = []): CycleDrawing | undefined {
  const memory = memoryCircuit(model);
  if (!memory) return undefined;
  const traced = trace(model, TRACED_TICKS, (_count, tick) => (tick >= QUIET_TICKS ? 1 : 0));
  const waves = new TracedWaves(model, traced, memory.capture?.clock.net);
  const address = busOwners(model, waves, memory.address);
  const data = busOwners(model, waves, memory.data);
  const period = (model.time.period.min + model.time.period.max) / 2;
  const span = bestCycle(memory, waves, [...data, ...address], period);
  if (!span) return undefined;

  const { capture, write, controls } = memory;
  const [addressName, dataName] = [busName(namesOf(memory.address)), busName(namesOf(memory.data))];
  const drawn = new Set<NetModel>();
  const lanesOf = (nets: readonly (NetModel | undefined)[], kind: "clock" | "signal") =>
    nets.flatMap((net) => {
      if (!net || drawn.has(net) || waves.ofNet(net).changes.length === 0) return [];
      drawn.add(net);
      return [netLane(waves, net, kind, span)];
    });
  const lanes = [
    ...lanesOf([model.oscillator.net, capture?.clock.net], "clock"),
    ...lanesOf(
      [...address, ...data].sort(byFirstDrive(span)).flatMap(({ enables }) => enables),
      "signal",
    ),
    ownerLane("address owner", address, span),
    busLane(waves, addressName, address, span),
    ...lanesOf(
      controls.map(({ net }) => net),
      "signal",
    ),
    ownerLane("data owner", data, span),
    busLane(waves, dataName, data, span),
    ...lanesOf([capture?.load?.net, videoNet(model)], "signal"),
  ];
  const inSpan = <T extends { earliest: number; latest: number }>(changes: readonly T[]) =>
    changes.filter(({ earliest, latest }) => earliest >= span.from && latest <= span.to);
  const strobe = write ? inSpan(waves.ofNet(write.net).changes) : [];
  const anchors = {
    span,
    capture: capture && { ref: capture.chip.chip.ref, edges: inSpan(capturesOf(capture, waves)) },
    memory: memory.chip.chip.ref,
    writeBegin: strobe.find(({ to }) => to === LOW),
    writeEnd: strobe.find(({ from }) => from === LOW),
    buses: [
      { lane: addressName, owner: "address owner", nets: namesOf(memory.address), owners: address },
      { lane: dataName, owner: "data owner", nets: namesOf(memory.data), owners: data },
    ],
    strobeLane: write?.net.net.name,
  };
  return {
    title: `Memory cycle of ${model.circuit.title}`,
    span: fs(Math.round(span.to - span.from)),
    ticks: ticksIn(span, period),
    lanes,
    brackets: cycleBrackets(verdicts, anchors),
  };
}

/**
 * From one beginning of the memory's read, or else of the first owner's turn, to the next: the first cycle that has both a
 * write and a capture, else one that has a write, else one that has a capture, else any. It begins with an oscillator edge.
 */
function bestCycle(
  { capture, write }: MemoryCircuit,
  waves: TracedWaves,
  owners: readonly BusOwner[],
  period: number,
): Stretch | undefined {
  const turns = owners
    .map(({ handOvers }) => handOvers.filter(({ drives }) => drives))
    .find(({ length }) => length > 2);
  if (!turns) return undefined;
  const begins = turns
    .map(({ cause }) => Math.floor(cause / period) * period)
    .filter((begin) => begin >= QUIET_TICKS * period);
  const captures = capture ? capturesOf(capture, waves) : [];
  const writes = write ? waves.ofNet(write.net).changes.filter(({ to }) => to === LOW) : [];
  const has = (changes: readonly { earliest: number; latest: number }[], { from, to }: Stretch) =>
    changes.some(({ earliest, latest }) => earliest > from && latest < to);
  const cycles = begins.slice(0, -2).map((from, i) => ({ from, to: begins[i + 1] ?? from }));
  const worth = (cycle: Stretch) => (has(writes, cycle) ? 2 : 0) + (has(captures, cycle) ? 1 : 0);
  return cycles.sort((a, b) => worth(b) - worth(a) || a.from - b.from)[0];
}

/** Who drives at the begin of the span comes first, then the next. */
function byFirstDrive(span: Stretch): (a: BusOwner, b: BusOwner) => number {
  const first = (owner: BusOwner) =>
    drivesAt(owner, span.from)
      ? span.to
      : (owner.handOvers.find(({ drives, earliest }) => drives && earliest >= span.from)?.earliest ?? span.to);
  return (a, b) => first(a) - first(b);
}

function ticksIn({ from, to }: Stretch, period: number): Fs[] {
  const count = Math.floor((to - from) / period + 0.01);
  return Array.from({ length: count + 1 }, (_, i) => fs(Math.min(Math.round(i * period), Math.round(to - from))));
}

function namesOf(nets: readonly NetModel[]): string[] {
  return nets.map(({ net }) => net.name);
}

function videoNet({ circuit: { picture }, nets }: Model): NetModel | undefined {
  const { video } = picture ?? {};
  const id = video?.kind === "mono" ? video.net : video ? [...video.red, ...video.green, ...video.blue][0] : undefined;
  return id === undefined ? undefined : nets[id];
}
