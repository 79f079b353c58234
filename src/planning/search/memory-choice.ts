import {
  type Conditions,
  type MemorySymbol,
  findPart,
  isMissing,
  isPartProblem,
  listPartNumbers,
  memoryPorts,
} from "../../parts/index.js";
import { inNs } from "../../quantity/index.js";

/** What the estimates need to know of a static RAM of eight bits; times in nanoseconds. */
export interface MemoryChoice {
  /** `62256-70`. */
  readonly number: string;
  readonly bytes: number;
  readonly access: number;
  /** From its output enable to data. */
  readonly output: number;
  readonly release: number;
  readonly writePulse: number;
  readonly addressToWriteEnd: number;
  readonly dataToWriteEnd: number;
  readonly writeCycle: number;
}

const NEEDED = ["tAA", "tOE", "tHZOE", "tWP", "tAW", "tDW", "tWC"] as const satisfies readonly MemorySymbol[];

/** Why a part number is no RAM that can be planned with. */
export interface MemoryProblem {
  readonly problem: string;
  readonly suggestions: readonly string[];
}

export function isMemoryProblem(choice: MemoryChoice | MemoryProblem): choice is MemoryProblem {
  return "problem" in choice;
}

/** The figures of a static RAM under the given conditions, or why it will not do. */
export function memoryChoice(number: string, conditions: Conditions): MemoryChoice | MemoryProblem {
  const part = findPart(number, conditions);
  if (isPartProblem(part)) return part;
  const ports = memoryPorts(part.behaviour);
  const [port] = ports;
  if (!port || ports.length > 1 || part.family !== "SRAM" || port.data.length !== 8) {
    return { problem: `${number} is no static RAM of eight bits`, suggestions: ["62256-70"] };
  }
  const times: Partial<Record<(typeof NEEDED)[number], number>> = {};
  for (const symbol of NEEDED) {
    const figure = part.figures.memory(symbol);
    // A time that the sheet calls a delay is asked as one.
    const known = isMissing(figure) ? undefined : inNs(figure.time);
    if (known === undefined) return { problem: `${number} has no ${symbol} on record`, suggestions: [] };
    times[symbol] = known;
  }
  const { tAA = 0, tOE = 0, tHZOE = 0, tWP = 0, tAW = 0, tDW = 0, tWC = 0 } = times;
  return {
    number,
    bytes: 2 ** port.address.length,
    access: tAA,
    output: tOE,
    release: tHZOE,
    writePulse: tWP,
    addressToWriteEnd: tAW,
    dataToWriteEnd: tDW,
    writeCycle: tWC,
  };
}

/** Numbers that stand for any maker's RAM of a size, in packages that fit a breadboard; largest first, then fastest. */
export function memoriesByDefault(conditions: Conditions): readonly MemoryChoice[] {
  return listPartNumbers()
    .filter((number) => /^(6116|6264|62256|628128|628256|628512)-\d+$/.test(number))
    .filter((number) => {
      const part = findPart(number, conditions);
      return !isPartProblem(part) && part.package.isDual;
    })
    .flatMap((number) => {
      const choice = memoryChoice(number, conditions);
      return isMemoryProblem(choice) ? [] : [choice];
    })
    .sort((a, b) => b.bytes - a.bytes || a.access - b.access);
}

/** The access time of a character ROM in nanoseconds; undefined where it is none on record. */
export function characterRomAccess(number: string, conditions: Conditions): number | undefined {
  const part = findPart(number, conditions);
  if (isPartProblem(part) || !/^(EPROM|EEPROM|flash)$/.test(part.family)) return undefined;
  const access = part.figures.memory("tAA");
  return isMissing(access) ? undefined : inNs(access.time);
}
