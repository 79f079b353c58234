import { type Circuit, boardOscillators } from "../circuit/index.js";
import { type Fs, formatTime, fs } from "../quantity/index.js";
import type { Verdict } from "../timing/index.js";
import { LOW } from "../timing/level-set.js";
import { buildModel, type Model, type NetModel } from "../timing/model.js";
import { trace } from "../timing/trace.js";
import { busName } from "./bus-name.js";
import { type BusOwner, busOwners, drivesAt } from "./bus-owners.js";
import { cycleBrackets } from "./cycle-brackets.js";
import type { CycleDrawing } from "./cycle-drawing.js";
import type { Stretch } from "./lane-pieces.js";
import { capturesOf, memoryCircuit, type MemoryCircuit } from "./memory-circuit.js";
import { busLane, netLane, ownerLane } from "./memory-lanes.js";
import { TracedWaves } from "./traced-waves.js";

/** Oscillator periods that are traced: a few cycles first, more where no write is found among them. */
const TRACED_TICKS = [72, 120];
/** Outside signals change once, as soon as they may after the first tick and before the second. */
const OUTSIDE_TICKS = { from: 20, to: 24 };

/**
 * One whole memory cycle of a circuit with one memory, if possible one in which the screen reads and the processor writes.
 * The proof's verdicts on the memory are put to it as brackets. Undefined where nothing about a memory repeats.
 */
export function memoryCycle(circuit: Circuit, verdicts: readonly Verdict[] = []): CycleDrawing | undefined {
  const [can, second] = boardOscillators(circuit);
  if (!can?.nets.has(can.part.behaviour.clockSource?.pin ?? "") || second) return undefined;
  const model = buildModel(circuit);
  const memory = memoryCircuit(model);
  if (!memory) return undefined;
  for (const ticks of TRACED_TICKS) {
    const traced = tracedCycle(model, memory, ticks);
    const isLast = ticks === TRACED_TICKS.at(-1);
    if (traced && (isLast || traced.worth === mostWorth)) return drawnCycle(model, memory, traced, verdicts);
  }
  return undefined;
}

/** A cycle with a write and a capture. */
const mostWorth = 3;

interface TracedCycle {
  readonly waves: TracedWaves;
  readonly address: readonly BusOwner[];
  readonly data: readonly BusOwner[];
  /** Mean of the oscillator, in fs. */
  readonly period: number;
  readonly span: Stretch;
  readonly worth: number;
}

function tracedCycle(model: Model, memory: MemoryCircuit, ticks: number): TracedCycle | undefined {
  const { from, to } = OUTSIDE_TICKS;
  const traced = trace(model, ticks, (_count, tick) => (tick >= from && tick < to ? 1 : 0));
  const waves = new TracedWaves(model, traced, memory.capture?.clock.net);
  const address = busOwners(model, waves, memory.address);
  const data = busOwners(model, waves, memory.data);
  const period = (model.time.period.min + model.time.period.max) / 2;
  const best = bestCycle(memory, waves, [...readFirst(memory, data), ...address], period);
  return best && { waves, address, data, period, ...best };
}

function drawnCycle(
  model: Model,
  memory: MemoryCircuit,
  { waves, address, data, period, span: cycle }: TracedCycle,
  verdicts: readonly Verdict[],
): CycleDrawing {
  const length = cycle.to - cycle.from;
  // A little of the next cycle, so that what follows a write at the end of this one is seen.
  const span = { from: cycle.from, to: cycle.to + Math.round(length / 8 / period) * period };
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
      [...address].sort(byFirstDrive(span)).flatMap(({ enables }) => enables),
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
    title: `Memory cycle of ${model.circuit.title}, ${formatTime(fs(Math.round(length)))}, and the beginning of the next`,
    span: fs(Math.round(span.to - span.from)),
    ticks: ticksIn(span, period),
    lanes,
    brackets: cycleBrackets(verdicts, anchors),
    ...(waves.sharedSpread > 0 && capture
      ? {
          note: `Times of what ${capture.clock.net.net.name} launches count from the middle of its edge: the ${formatTime(fs(waves.sharedSpread))} by which the edge itself is uncertain are common to all of it and left out.`,
        }
      : {}),
  };
}

/** The memory itself before whoever else drives its data. */
function readFirst({ chip }: MemoryCircuit, owners: readonly BusOwner[]): BusOwner[] {
  const isMemory = ({ refs }: BusOwner) => refs.includes(chip.chip.ref);
  return [...owners.filter(isMemory), ...owners.filter((owner) => !isMemory(owner))];
}

/**
 * From one beginning of the memory's read, or else of the first owner's turn, to the next: the first cycle that has both a
 * write and a capture, else one that has a write, else one that has a capture, else any. It begins with the oscillator edge
 * at which the owner before lets go, so that every hand-over is whole.
 */
function bestCycle(
  { capture, write }: MemoryCircuit,
  waves: TracedWaves,
  owners: readonly BusOwner[],
  period: number,
): Pick<TracedCycle, "span" | "worth"> | undefined {
  const owner = owners.find(({ handOvers }) => handOvers.filter(({ drives }) => drives).length > 2);
  if (!owner) return undefined;
  const turns = owner.handOvers.filter(({ drives }) => drives).map(({ cause }) => cause);
  const spacing = (turns[2] ?? 0) - (turns[1] ?? 0);
  const ends = owners.filter((other) => other !== owner).flatMap(({ handOvers }) => handOvers.filter((h) => !h.drives));
  const begins = turns
    .map((turn) =>
      Math.max(
        ...ends.map(({ cause }) => cause).filter((end) => end <= turn && end > turn - spacing / 2),
        turn - spacing / 2,
      ),
    )
    .map((begin, i) => (ends.some(({ cause }) => cause === begin) ? begin : (turns[i] ?? begin)))
    .map((begin) => Math.floor(begin / period) * period)
    .filter((begin) => begin >= OUTSIDE_TICKS.from * period);
  const captures = capture ? capturesOf(capture, waves) : [];
  const writes = write ? waves.ofNet(write.net).changes.filter(({ to }) => to === LOW) : [];
  const has = (changes: readonly { earliest: number; latest: number }[], { from, to }: Stretch) =>
    changes.some(({ earliest, latest }) => earliest > from && latest < to);
  return begins
    .slice(0, -1)
    .map((from, i) => ({ from, to: begins[i + 1] ?? from }))
    .map((span) => ({ span, worth: (has(writes, span) ? 2 : 0) + (has(captures, span) ? 1 : 0) }))
    .sort((a, b) => b.worth - a.worth || a.span.from - b.span.from)[0];
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
