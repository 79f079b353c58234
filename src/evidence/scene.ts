import { type InputTiming, type NetId, boardOscillators } from "../circuit/index.js";
import {
  type OscillatorChoice,
  type Value,
  Simulator,
  type Tables,
  chooseDelays,
  planInputs,
  randomBytes,
} from "../simulation/index.js";
import { type Corner, oscillatorAt } from "./corner.js";

/** Where the delays lie that a corner says nothing of. */
export type Rest = "typical" | "earliest" | "latest" | { readonly seed: number; readonly spread: "ends" };

/** One board in one run, so that anybody can repeat it. */
export interface Scene {
  readonly corner: Corner;
  readonly rest: Rest;
  /** Of what the memories hold, and of what comes from outside. */
  readonly seed: number;
  /** Whether anything comes from outside. */
  readonly busy: boolean;
}

/** A scene ready to run, from where the proof begins: all storage low, the reset let go. */
export interface Staged {
  readonly simulator: Simulator;
  readonly oscillator: OscillatorChoice;
}

/** Sets up a scene. The oscillator first rises after one period. Throws RangeError without exactly one oscillator. */
export function stage(tables: Tables, scene: Scene): Staged {
  const { circuit } = tables;
  const [can, another] = boardOscillators(circuit);
  if (!can?.part.oscillation || another) throw new RangeError("a scene has one oscillator");
  const { period, high } = oscillatorAt(can.part.oscillation, scene.corner);
  const oscillator = { period, high, start: period };
  const { arcs, wires } = scene.corner;
  const choice = { arcs, wires, oscillators: new Map([[can.ref, oscillator]]), otherwise: scene.rest };
  const contents = new Map(
    circuit.chips.flatMap((chip) => {
      const { memory } = chip.part.behaviour;
      return memory ? [[chip, randomBytes(2 ** memory.address.length, `memory ${chip.ref}`, scene.seed)] as const] : [];
    }),
  );
  const awake = { ...circuit, inputs: circuit.inputs.filter(({ timing }) => timing.kind !== "power-up only") };
  const inputs = planInputs(awake, { activity: scene.busy ? { seed: scene.seed } : "quiet" });
  const first = new Map<NetId, Value>(inputs.first);
  for (const { net, timing } of circuit.inputs) if (isReset(timing)) first.set(net, timing.active === "low" ? 1 : 0);
  const simulator = new Simulator(tables, chooseDelays(tables, choice), { powerUp: "low", inputs: first, contents });
  inputs.attach(simulator);
  return { simulator, oscillator };
}

function isReset(timing: InputTiming): timing is InputTiming & { kind: "power-up only" } {
  return timing.kind === "power-up only";
}
