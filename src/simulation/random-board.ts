import type { Circuit } from "../circuit/circuit.js";
import { type Fs, fs } from "../quantity/index.js";
import { powerUpBoard } from "./board.js";
import { longestFights } from "./longest-fights.js";
import { NoProgress } from "./simulator.js";
import type { Violation } from "./watch.js";

/** Something that a board did and should not have, at its worst. Times in femtoseconds. */
export interface BoardFault {
  /** `U4 5D to CLK: set-up tsu`, the same on every board. */
  readonly place: string;
  readonly required: Fs;
  readonly actual: Fs;
  readonly firstAt: Fs;
  readonly worstAt: Fs;
  readonly count: number;
  /** Nets to look at. */
  readonly nets: readonly string[];
}

/** What one of many boards did. Plain data, so that it can go from one thread to another. */
export interface BoardReport {
  readonly seed: number;
  readonly faults: readonly BoardFault[];
  /** Changes at output and input pins. */
  readonly events: number;
  /** Why it was not followed to the end; absent where it was. */
  readonly stopped?: string;
}

/** Every other board has each delay at one of its ends, where most failures are. */
export function spreadOf(seed: number): "even" | "ends" {
  return seed % 2 === 0 ? "even" : "ends";
}

/** The nets to look at where a chip was not given what it asks for. */
export function netsOf({ chip, pin, reference }: Pick<Violation, "chip" | "pin" | "reference">): readonly string[] {
  return [pin, reference ?? ""].flatMap((name) => chip.nets.get(name)?.name ?? []);
}

/**
 * Runs one board for some time after its reset: delays, oscillator, what storage and memories hold and what comes from
 * outside are all of this seed.
 */
export function runRandomBoard(circuit: Circuit, seed: number, time: Fs): BoardReport {
  const board = { delays: { seed, spread: spreadOf(seed) }, seed, busy: true, watch: true };
  const { simulator, watch, released } = powerUpBoard(circuit, board);
  let stopped: string | undefined;
  try {
    simulator.run(fs(released + time));
  } catch (error) {
    if (!(error instanceof NoProgress)) throw error;
    stopped = error.message;
  }
  const missed = (watch?.violations ?? [])
    .filter(({ asynchronous }) => !asynchronous)
    .map(({ rule, chip, pin, reference, required, actual, firstAt, worstAt, count }): BoardFault => {
      const against = reference === undefined ? "" : ` to ${reference}`;
      const symbol = rule === "pulse width" ? required.kind.replace("width", "tw") : required.symbol;
      const nets = netsOf({ chip, pin, ...(reference !== undefined && { reference }) });
      return {
        place: `${chip.ref} ${pin}${against}: ${rule} ${symbol}`,
        ...{ required: required.time, actual: fs(actual), firstAt: fs(firstAt), worstAt: fs(worstAt), count },
        nets,
      };
    });
  const fights = longestFights(simulator.contentions, circuit.allowedContention);
  const events = simulator.outputChanges + simulator.arrivals;
  return { seed, faults: [...missed, ...fights], events, ...(stopped !== undefined && { stopped }) };
}
