import { decide } from "./decision.js";
import type { MemoryState } from "./memory-state.js";
import { type Random, randomStream } from "./random.js";
import type { Tables } from "./tables.js";
import { HIGH, LOW, UNDRIVEN, UNKNOWN, VALUE, received, resolve } from "./value.js";

/**
 * What the chips hold when the supply comes up: nobody knows, or every bit low (where the proof begins), or something that a
 * seed chooses.
 */
export type PowerUp = "unknown" | "low" | { readonly seed: number };

/** The simulator's values, as far as power-up sets them. */
export interface PowerUpState {
  readonly tables: Tables;
  /** Of each variable. */
  readonly words: Int32Array;
  /** Of each driver: what it drives. Those of clocks and from outside are given. */
  readonly driven: Int32Array;
  readonly memories: readonly MemoryState[];
}

/**
 * Brings the circuit to rest at the moment of power-up, no time passing: storage takes its first values, then all levels go
 * through until nothing changes. Clocks do not act. With a seed, gates that feed each other and are left unknown (a
 * cross-coupled latch) take a side too, if they can hold it.
 */
export function settleAtPowerUp(state: PowerUpState, powerUp: PowerUp): void {
  const { tables, words } = state;
  const random = typeof powerUp === "object" ? randomStream("power-up", powerUp.seed) : undefined;
  const first = powerUp === "low" ? LOW : UNKNOWN;
  for (const variable of tables.bitVariable) words[variable] = random ? coin(random) : first;
  // At first no level is known; what is stored must not suffer from that, so at first only known levels act on it.
  settle(state, "known levels");
  settle(state, "all levels");
  if (random) takeSides(state, random);
}

/** Which levels act on storage while the circuit settles. */
type Acting = "known levels" | "all levels";

/**
 * Repeats until nothing changes, but not for ever: a loop may have no rest. The driver `held` keeps what it drives.
 */
function settle(state: PowerUpState, acting: Acting, held = -1): void {
  const { tables } = state;
  const mostRounds = 2 * (tables.drivers.length + tables.bitVariable.length) + 2;
  for (let round = 0; round < mostRounds; round++) if (!settleOnce(state, acting, held)) return;
}

function settleOnce({ tables, words, driven, memories }: PowerUpState, acting: Acting, held: number): boolean {
  const { decisionVariable, decisionNext, driverRoot, bitVariable, levelRoot } = tables;
  let changed = false;
  const put = (array: Int32Array, index: number, word: number) => {
    if (array[index] !== word) changed = true;
    array[index] = word;
  };

  driverRoot.forEach((root, driver) => {
    if (root >= 0 && driver !== held) put(driven, driver, decide(root, decisionVariable, decisionNext, words));
  });
  tables.memories.forEach((memory, index) => {
    const inside = memories[index];
    inside?.refresh();
    memory.dataOut.forEach((driver, bit) => {
      if (driver >= 0) put(driven, driver, inside?.output[bit] ?? UNKNOWN);
    });
  });
  tables.variables.forEach(({ kind, net }, variable) => {
    if (kind === "pin") put(words, variable, net ? received(levelOnNet(tables, driven, net.id)) : UNKNOWN);
  });
  bitVariable.forEach((variable, bit) => {
    const root = levelRoot[bit] ?? -1;
    if (root < 0) return;
    const word = decide(root, decisionVariable, decisionNext, words);
    if (word !== UNKNOWN || acting === "all levels") put(words, variable, word);
  });
  return changed;
}

/** What all drivers of a net together make of it. */
export function levelOnNet(tables: Tables, driven: Int32Array, net: number): number {
  const rail = tables.circuit.nets[net]?.rail;
  if (rail) return rail === "high" ? HIGH : LOW;
  const { start, items } = tables.driversOfNet;
  let word = UNDRIVEN as number;
  for (let index = start[net] ?? 0; index < (start[net + 1] ?? 0); index++) {
    word = resolve(word, driven[items[index] ?? 0] ?? UNKNOWN);
  }
  return word;
}

/** Tries a side for each driver that is still unknown; it stays if the rest of the circuit, settled again, upholds it. */
function takeSides(state: PowerUpState, random: Random): void {
  const { tables, words, driven } = state;
  const { decisionVariable, decisionNext, driverRoot } = tables;
  driverRoot.forEach((root, driver) => {
    if (root < 0 || ((driven[driver] ?? 0) & VALUE) !== UNKNOWN) return;
    const [wordsBefore, drivenBefore] = [words.slice(), driven.slice()];
    const side = coin(random);
    driven[driver] = side;
    settle(state, "all levels", driver);
    if (decide(root, decisionVariable, decisionNext, words) === side) return;
    words.set(wordsBefore);
    driven.set(drivenBefore);
  });
}

function coin(random: Random): number {
  return random() < 0.5 ? LOW : HIGH;
}
