import type { Chip } from "../../circuit/circuit.js";
import type { Fs } from "../../quantity/index.js";
import type { Simulator } from "../simulator.js";
import { type BrokenPromise, PromiseWatch } from "./declared.js";
import { type Landed, compareCells } from "./landed.js";
import { ScriptRun } from "./run.js";
import type { Script } from "./script.js";

/** What came of a script. */
export interface ScriptOutcome {
  /** Bytes that it writes in all, and those whose writes had begun when the simulation ended. */
  readonly bytes: number;
  readonly begun: number;
  /** When its last step was done, in femtoseconds after power-up; absent where the simulation ended before. */
  readonly ended?: Fs;
  /** One for each memory that can be written. */
  readonly memories: readonly Landed[];
  /** Times that the circuit file promises of the inputs and that the script does not keep. */
  readonly broken: readonly BrokenPromise[];
}

/** A script at work on a board. */
export interface RunningScript {
  readonly outcome: ScriptOutcome;
}

/** Lets a script act on a simulator from a moment on. `before` is what the memories hold then. */
export function followScript(
  simulator: Simulator,
  script: Script,
  start: Fs,
  before: ReadonlyMap<Chip, Uint8Array>,
): RunningScript {
  const run = new ScriptRun(simulator, script, start);
  const promises = new PromiseWatch(simulator);
  return {
    get outcome() {
      const memories = [...before].flatMap(([{ ref, part }, contents]) => {
        const state = simulator.memories.find((memory) => memory.ref === ref);
        const isWritten = part.behaviour.memory?.write !== undefined;
        return state && isWritten ? [compareCells(ref, contents, state, run.meant)] : [];
      });
      const { bytes, meant, ended } = run;
      return { bytes, begun: meant.length, ...(ended !== undefined && { ended }), memories, broken: promises.broken };
    },
  };
}
