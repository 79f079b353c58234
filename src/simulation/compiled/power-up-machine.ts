import type { Chip, Circuit } from "../../circuit/circuit.js";
import { boardOscillators } from "../../circuit/index.js";
import { type Picture, type Raster, drawTestCard, fieldRate, findRaster, inHertz } from "../../raster/index.js";
import { fillMemories } from "../board.js";
import { shapeOf } from "../frame.js";
import { type MemoryLayout, type NoLayout, layOut } from "../layout.js";
import { type PlannedInputs, SHORT_RESET, planInputs } from "../stimulus.js";
import { layoutByPatterns } from "./layout-by-patterns.js";
import { Machine, type MachineOptions } from "./machine.js";

export interface PowerUpMachineOptions extends Pick<MachineOptions, "mostThorough" | "recorded"> {
  /** Contents of every memory, or of these, from address 0; what is not given holds random bytes. */
  readonly memory?: Uint8Array | ReadonlyMap<Chip, Uint8Array>;
  /** Of all luck: states at power-up, contents, and inputs. 1 when absent. */
  readonly seed?: number;
  /** Inputs may change at random, once they are let play. */
  readonly busy?: boolean;
  /** "unknown": registers and memories without contents hold what nobody knows; at random, by the seed, when absent. */
  readonly powerUp?: "unknown";
}

/** A compiled circuit whose resets have been let go. */
export interface PoweredMachine {
  readonly machine: Machine;
  readonly raster?: Raster;
  /** What the memories held at power-up. */
  readonly contents: ReadonlyMap<Chip, Uint8Array>;
  readonly inputs: PlannedInputs;
}

/**
 * Powers a compiled circuit up and lets its resets go. Throws RangeError when it has no oscillator, and when more bytes are
 * given than a memory holds.
 */
export function powerUpMachine(circuit: Circuit, options: PowerUpMachineOptions = {}): PoweredMachine {
  const { seed = 1, memory, busy = false, powerUp, mostThorough, recorded } = options;
  if (boardOscillators(circuit).length === 0) throw new RangeError("the circuit has no oscillator");
  const chips = circuit.chips.filter(({ part }) => part.behaviour.memory);
  const given = memory instanceof Uint8Array ? new Map(chips.map((chip) => [chip, memory])) : (memory ?? new Map());
  const contents = fillMemories(circuit, given, seed);
  const inputs = planInputs(circuit, { activity: busy ? { seed } : "quiet", longestReset: SHORT_RESET });
  const machine = new Machine(circuit, {
    powerUp: powerUp ?? { seed },
    inputs: inputs.first,
    ...(powerUp === "unknown" && !memory ? {} : { contents }),
    ...(mostThorough !== undefined && { mostThorough }),
    ...(recorded && { recorded }),
  });
  for (const release of inputs.releases) machine.drive(release.net, release.time, release.value);
  machine.run(inputs.released);
  // Until the resets are let go anything may happen.
  machine.forgetDoubts();
  machine.outside.now = machine.now;
  const lookup = findRaster(circuit.raster);
  return { machine, ...(lookup.found && { raster: lookup.raster }), contents, inputs };
}

/** A test card, and where its dots lie in memory; or why there is none. */
export interface CardInMemory {
  readonly contents: ReadonlyMap<Chip, Uint8Array>;
  readonly card?: Picture;
  readonly layout: MemoryLayout | NoLayout;
}

/** Draws a test card for a circuit that runs: finds out which bit each dot shows, and goes on for a field meanwhile. */
export function testCardFor(powered: PoweredMachine): CardInMemory {
  const { machine, raster } = powered;
  // One field, so that what runs on its own is on its way.
  if (raster) machine.run(Math.round(machine.now + 1e15 / inHertz(fieldRate(raster))));
  const layout: MemoryLayout | NoLayout = raster
    ? layoutByPatterns(machine.circuit, machine, raster)
    : { problem: `${machine.circuit.raster} is no published raster.` };
  return testCardIn(powered, layout);
}

/** The same where it is known which bit each dot shows. */
export function testCardIn({ raster, contents }: PoweredMachine, layout: MemoryLayout | NoLayout): CardInMemory {
  if ("problem" in layout || !raster) return { contents, layout };
  const card = drawTestCard(layout.width, layout.height, shapeOf(layout, raster));
  return { contents: layOut(card, layout), card, layout };
}
