import { type Chip, type Circuit, boardOscillators } from "../../circuit/index.js";
import { memoryPorts } from "../../parts/index.js";
import { type Displacement, type Raster, fieldRate, fieldsPerFrame, findRaster, inHertz } from "../../raster/index.js";
import { BeamScreen, powerUpMachine, testCardFor } from "../../simulation/compiled/index.js";
import { SHORT_RESET, planInputs, randomBytes } from "../../simulation/index.js";
import type { NodeId } from "../board/board.js";

/** What goes on while a board is looked at. */
export interface Scenario {
  readonly circuit: Circuit;
  /** Half the oscillator's period, in femtoseconds. */
  readonly edgeFs: number;
  /** What the oscillator makes, in hertz. */
  readonly oscillatorHz: number;
  /** Edges of the oscillator in a frame; in what is looked at, where there is no picture. */
  readonly frameEdges: number;
  readonly resetEdges: number;
  readonly raster?: Raster;
  /** Where the picture of the board without faults stands. */
  readonly displacement: Displacement;
  /** Levels of inputs at power-up, and those of resets afterwards. */
  readonly first: readonly (readonly [NodeId, 0 | 1])[];
  readonly released: readonly (readonly [NodeId, 0 | 1])[];
  /** What the memories hold: a test card. */
  readonly contents: ReadonlyMap<Chip, Uint8Array>;
  /** The processor's writes, where it writes: the test card again and again. */
  readonly writes?: Writes;
}

/** A processor, or a tester in its place, that writes one byte after the other. */
export interface Writes {
  /** Edges of the oscillator from one write to the next. */
  readonly every: number;
  readonly strobes: readonly { readonly node: NodeId; readonly rest: 0 | 1 }[];
  /** Least significant first. */
  readonly address: readonly NodeId[];
  readonly data: readonly NodeId[];
  readonly bytes: Uint8Array;
  /** Bytes from one write's address to the next one's: odd, so that all come up, and large, so that each frame is alike. */
  readonly stride: number;
  /** Inputs that are neither: they count the writes. */
  readonly others: readonly NodeId[];
}

export interface ScenarioOptions {
  /** The processor leaves the board alone. */
  readonly atRest?: boolean;
  /** From one write to the next, in femtoseconds; as often as the circuit allows when absent. */
  readonly writeEvery?: number;
  /** What an earlier scenario of the same circuit found out: takes seconds otherwise. */
  readonly known?: KnownPicture;
}

/** The test card as it lies in the memories, by chip, and where the picture of the board without faults stands. */
export interface KnownPicture {
  readonly contents: readonly (readonly [ref: string, bytes: Uint8Array])[];
  readonly displacement: Displacement;
}

/** What a scenario found out, to be sent on. */
export function knownPictureOf({ contents, displacement }: Scenario): KnownPicture {
  return { contents: [...contents].map(([{ ref }, bytes]) => [ref, bytes]), displacement };
}

/** Without a raster so many edges are looked at. */
const USUAL_EDGES = 100_000;
/** From one write to the next where the circuit allows any time: 2 µs. */
const USUAL_REPEAT = 2e9;

/** Plans what goes on. Throws RangeError where the circuit has no oscillator of its own, or several. */
export function scenarioOf(
  circuit: Circuit,
  { atRest = false, writeEvery, known: earlier }: ScenarioOptions = {},
): Scenario {
  const [clock, another] = boardOscillators(circuit);
  const hertz = clock?.part.oscillation?.hertz;
  if (!hertz) throw new RangeError("the circuit has no oscillator: nothing moves on it by itself");
  if (another)
    throw new RangeError("the circuit has several oscillators: boards with faults are simulated with one only");
  const oscillatorHz = Number(hertz.numerator) / Number(hertz.denominator);
  const edgeFs = 1e15 / oscillatorHz / 2;
  const lookup = findRaster(circuit.raster);
  const raster = circuit.picture && lookup.found ? lookup.raster : undefined;
  const frameEdges = raster
    ? 2 * Math.round((oscillatorHz * fieldsPerFrame(raster)) / inHertz(fieldRate(raster)))
    : USUAL_EDGES;
  const inputs = planInputs(circuit, { activity: "quiet", longestReset: SHORT_RESET });
  const known = (pairs: Iterable<readonly [number, number]>) =>
    [...pairs].map(([node, value]) => [node, value === 1 ? 1 : 0] as const);
  const { contents, displacement } = earlier ? fromKnown(circuit, earlier) : pictureOf(circuit, raster);
  const writes = atRest ? undefined : writesOf(circuit, contents, edgeFs, writeEvery);
  return {
    circuit,
    edgeFs,
    oscillatorHz,
    frameEdges,
    resetEdges: 2 * Math.ceil(inputs.released / edgeFs / 2) + 64,
    ...(raster && { raster }),
    displacement,
    first: known(inputs.first),
    released: known(inputs.releases.map(({ net, value }) => [net, value] as const)),
    contents,
    ...(writes && { writes }),
  };
}

function fromKnown({ chips }: Circuit, { contents, displacement }: KnownPicture) {
  const bytesOf = new Map(contents);
  const found = chips.flatMap((chip) => {
    const bytes = bytesOf.get(chip.ref);
    return bytes ? [[chip, bytes] as const] : [];
  });
  return { contents: new Map(found), displacement };
}

function pictureOf(circuit: Circuit, raster: Raster | undefined) {
  const random = () =>
    new Map(
      circuit.chips
        .filter(({ part }) => part.behaviour.memory)
        .map((chip) => [chip, randomBytes(2 ** (chip.part.behaviour.memory?.address.length ?? 0), chip.ref, 1)]),
    );
  const nowhere = { dots: 0, rows: 0 };
  if (!raster || !circuit.picture) return { contents: random(), displacement: nowhere };
  const powered = powerUpMachine(circuit, { seed: 1 });
  const { contents } = testCardFor(powered);
  for (const [chip, bytes] of contents) powered.machine.load(chip, bytes);
  const seen = new BeamScreen(powered.machine, circuit.picture, { raster }).runFrame();
  return { contents: contents.size > 0 ? contents : random(), displacement: seen.locked ? seen.displacement : nowhere };
}

function writesOf(
  circuit: Circuit,
  contents: ReadonlyMap<Chip, Uint8Array>,
  edgeFs: number,
  writeEvery: number | undefined,
): Writes | undefined {
  const nameOf = (id: number) => circuit.nets[id]?.name ?? "";
  const own = circuit.inputs.filter(({ by }) => by === undefined);
  const strobes = own.filter(({ timing }) => timing.kind === "any time");
  if (strobes.length === 0) return undefined;
  const memory = circuit.chips.find(({ part }) => memoryPorts(part.behaviour).some(({ write }) => write));
  const port = memory?.part.behaviour.memory;
  const buses = new Map<string, { readonly node: NodeId; readonly bit: number }[]>();
  const others: NodeId[] = [];
  for (const { net, timing } of own) {
    if (timing.kind === "any time" || timing.kind === "power-up only") continue;
    const [, head, bit] = /^(.*?)(\d+)$/.exec(nameOf(net)) ?? [];
    if (head === undefined) others.push(net);
    else buses.set(head, [...(buses.get(head) ?? []), { node: net, bit: Number(bit) }]);
  }
  const sorted = [...buses.values()].map((bus) => [...bus].sort((a, b) => a.bit - b.bit).map(({ node }) => node));
  const data = sorted.find((bus) => bus.length === port?.data.length) ?? [];
  const address = sorted.find((bus) => bus !== data && bus.length > data.length) ?? [];
  others.push(...sorted.filter((bus) => bus !== data && bus !== address).flat());
  const repeats = strobes.map(({ timing }) => (timing.kind === "any time" ? timing.leastRepeat : 0));
  const every = writeEvery ?? Math.max(...repeats, repeats.every((time) => time === 0) ? USUAL_REPEAT : 0);
  const bytes = (memory && contents.get(memory)) ?? new Uint8Array(1);
  let last = bytes.length - 1;
  while (last > 0 && bytes[last] === 0) last--;
  const size = Math.min(bytes.length, 2 ** Math.ceil(Math.log2(last + 1)));
  return {
    every: Math.max(8, oddUp(every / edgeFs)),
    strobes: strobes.map(({ net }) => ({ node: net, rest: nameOf(net).endsWith("#") ? 1 : 0 })),
    address,
    data,
    others,
    bytes: bytes.slice(0, size),
    stride: Math.floor((GOLDEN * size) / 2) * 2 + 1,
  };
}

/** Steps of this share of a range spread most evenly over it. */
const GOLDEN = 0.618;

/** The next odd whole number, so that writes do not keep step with the memory cycle. */
function oddUp(value: number): number {
  const whole = Math.ceil(value);
  return whole % 2 === 0 ? whole + 1 : whole;
}
