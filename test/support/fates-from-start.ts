import { chipOf } from "./build-circuit.js";
import { circuitOfSketch } from "./clocked-circuit.js";
import { outsideFate, powerUpWithSignal } from "./outside-fates.js";
import { randomSketch } from "./random-clocked-circuit.js";
import { obstaclesWithResets, resetFate } from "./reset-fates.js";
import { compareFates } from "./start-fates.js";
import { leastCommonMultiple } from "../../src/timing/power-up/course.js";
import { isMended, powerUp } from "../../src/timing/power-up/power-up.js";

/**
 * What becomes of a circuit from every state that it may start in, in words: `3 periods, then 16`, `stays away`, `lost`. By the
 * circuit's name: `start 7` has no signals from outside, `signal 7` one that may change at any time, `reset 7` resets.
 */
export type Fates = Readonly<Record<string, string>>;

const STAYS_AWAY = "stays away";
const KINDS = { start: 800, signal: 600, reset: 1500 } as const;
const MOST_BITS = 7;

/** What the proof says of the circuit of that name. */
export function provedFate(name: string): string {
  const [kind, number] = name.split(" ");
  const seed = Number(number);
  if (kind === "reset") return obstaclesWithResets(seed).every(isMended) ? "mended" : "lost";
  if (kind === "signal") return fateText(powerUpWithSignal(seed));
  const circuit = circuitOfSketch(randomSketch(seed));
  const found = powerUp(circuit, chipOf(circuit, "X1"));
  return `${fateText(found)}${found.obstacles.length > 0 ? "" : `, then ${found.cycleTicks}`}`;
}

function fateText({ obstacles, ticks }: { readonly obstacles: readonly unknown[]; readonly ticks: number }): string {
  return obstacles.length > 0 ? STAYS_AWAY : `${ticks} periods`;
}

/** What following each state by itself finds, of circuits of which the proof finds just that. */
export function followedFates(): Fates {
  const all = Object.entries(KINDS).flatMap(([kind, count]) =>
    Array.from({ length: count }, (_, index) => [`${kind} ${index + 1}`, followed(kind, index + 1)] as const),
  );
  return Object.fromEntries(all.flatMap(([name, fate]) => (fate === provedFate(name) ? [[name, fate]] : [])));
}

function followed(kind: string, seed: number): string | undefined {
  if (kind === "reset") {
    const fate = resetFate(seed);
    return fate && (fate.isLost ? "lost" : "mended");
  }
  if (kind === "signal") {
    const fate = outsideFate(seed);
    return fate && (fate.periods === Infinity ? STAYS_AWAY : `${fate.periods} periods`);
  }
  const fates = compareFates(seed, MOST_BITS)?.fates;
  if (!fates) return undefined;
  if (!fates.every(({ cycles }) => cycles === 1)) return STAYS_AWAY;
  const periods = Math.max(0, ...fates.map((fate) => fate.periods ?? Infinity));
  const cycle = fates.reduce((ticks, { cyclePeriods }) => leastCommonMultiple(ticks, cyclePeriods), 1);
  return `${periods} periods, then ${cycle}`;
}
