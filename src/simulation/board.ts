import type { Chip, Circuit, NetId } from "../circuit/circuit.js";
import { type Fs, fs } from "../quantity/index.js";
import { type DelayChoice, chooseDelays } from "./choice.js";
import { randomBytes } from "./random.js";
import { type RunningScript, followScript } from "./script/follow.js";
import type { Script } from "./script/script.js";
import { Simulator } from "./simulator.js";
import type { SimulatorState } from "./simulator-state.js";
import { type PlannedInputs, SHORT_RESET, planInputs } from "./stimulus.js";
import { compileTables } from "./compile-tables.js";
import { Watch } from "./watch.js";

/** One board: its delays, its luck, and what happens around it. */
export interface BoardOptions {
  /** "typical" when absent. */
  readonly delays?: DelayChoice;
  /** What storage holds at power-up, and what comes from outside. 1 when absent. */
  readonly seed?: number;
  /** Contents of memories once the reset is let go, from address 0; what is not given holds random bytes, as after power-up. */
  readonly contents?: ReadonlyMap<Chip, Uint8Array>;
  /** Inputs from outside act at random inside their declared times; else they rest. */
  readonly busy?: boolean;
  /** What a processor does at the inputs once the reset is let go; the inputs then do nothing else. */
  readonly script?: Script;
  /** Watch what chips ask of the signals at their pins. */
  readonly watch?: boolean;
  /** Follow memory bits; see `SimulatorOptions`. */
  readonly marks?: boolean;
  /** Goes on from here, in place of powering up: a state of a board of the same circuit and delays. */
  readonly resume?: SimulatorState;
}

export interface PoweredBoard {
  readonly simulator: Simulator;
  /** Present where it was asked for; it begins when the reset is let go. */
  readonly watch?: Watch;
  /** Present where there is a script. */
  readonly script?: RunningScript;
  /** When the reset is let go; 0 where there is none. */
  readonly released: Fs;
  /** Inputs whose release comes earlier than declared, to save time. */
  readonly shortened: readonly NetId[];
}

/**
 * A board at power-up. Until its reset is let go anything may happen, to the memory too: contents are loaded at that moment,
 * and contentions and writes count from then on. Throws RangeError when more bytes are given than a memory holds, and when the
 * state to go on from is of another circuit.
 */
export function powerUpBoard(circuit: Circuit, options: BoardOptions = {}): PoweredBoard {
  const { delays = "typical", seed = 1, contents = new Map<Chip, Uint8Array>(), busy = false, marks = false } = options;
  const tables = compileTables(circuit);
  const filled = fillMemories(circuit, contents, seed);
  const inputs = planInputs(circuit, { activity: busy ? { seed } : "quiet", longestReset: SHORT_RESET });
  const simulator = new Simulator(tables, chooseDelays(tables, delays), {
    powerUp: { seed },
    inputs: inputs.first,
    contents: filled,
    marks,
  });
  if (options.resume) return resumed(simulator, inputs, options, options.resume);
  inputs.attach(simulator);
  const watch = options.watch ? new Watch(simulator) : undefined;
  simulator.at(inputs.released, () => {
    for (const [chip, bytes] of filled) simulator.load(chip, bytes);
    simulator.contentions.restart(simulator.now);
    watch?.restart();
  });
  const script = options.script && followScript(simulator, options.script, inputs.released, filled);
  return {
    simulator,
    ...(watch && { watch }),
    ...(script && { script }),
    released: inputs.released,
    shortened: inputs.shortened,
  };
}

/** Goes on from a saved state; a script, watching and what plays at the inputs begin now. */
function resumed(
  simulator: Simulator,
  inputs: PlannedInputs,
  { watch: wantsWatch, script: steps }: BoardOptions,
  state: SimulatorState,
): PoweredBoard {
  simulator.restore(state);
  const watch = wantsWatch ? new Watch(simulator) : undefined;
  watch?.restart();
  inputs.play(simulator);
  const now = fs(simulator.now);
  const held = simulator.tables.memories.map(({ chip }, port) => [chip, simulator.memories[port]?.contents.slice()]);
  const before = new Map(held as [Chip, Uint8Array][]);
  const script = steps && followScript(simulator, steps, now, before);
  return { simulator, ...(watch && { watch }), ...(script && { script }), released: now, shortened: [] };
}

/** What memories hold at power-up: what is given, from address 0 on, and random bytes. */
export function fillMemories({ chips }: Circuit, given: ReadonlyMap<Chip, Uint8Array>, seed: number) {
  const filled = new Map<Chip, Uint8Array>();
  for (const chip of chips) {
    const { memory } = chip.part.behaviour;
    if (!memory) continue;
    const [size, bytes] = [2 ** memory.address.length, given.get(chip) ?? new Uint8Array(0)];
    if (bytes.length > size) throw new RangeError(`${chip.ref} holds ${size} bytes; ${bytes.length} were given`);
    const whole = randomBytes(size, `memory ${filled.size}`, seed);
    whole.set(bytes);
    filled.set(chip, whole);
  }
  return filled;
}
